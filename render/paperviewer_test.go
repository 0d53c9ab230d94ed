package render

import (
	"bufio"
	"bytes"
	"encoding/base64"
	"encoding/json"
	"image"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/websocket"
)

// profileFolder is a folder for a browser that may still write into it for a
// moment after it was ended.
func profileFolder(t *testing.T) string {
	dir, err := os.MkdirTemp("", "profile")
	require.NoError(t, err)
	t.Cleanup(func() {
		for range 50 {
			if os.RemoveAll(dir) == nil {
				return
			}
			time.Sleep(100 * time.Millisecond)
		}
		t.Logf("%s could not be removed", dir)
	})
	return dir
}

// Chromium shows a print in its viewer: the picture of its window has white
// paper and the sides of the test square. (Its --screenshot alone is taken
// before the viewer has drawn, so the picture is asked for over its debugging
// port, on this machine only.)
func TestChromiumShowsThePrint(t *testing.T) {
	need(t, "chromium")
	dir := t.TempDir()
	pdf := filepath.Join(dir, "print.pdf")
	file, _ := printed(t, paperJob(t, "A4"), pocketPiece())
	require.NoError(t, os.WriteFile(pdf, file, 0o644))
	cmd := exec.Command("chromium", "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
		"--remote-debugging-port=0", "--user-data-dir="+profileFolder(t), "--window-size=800,1200", "file://"+pdf)
	talk, err := cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	defer func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	}()
	host := debuggingHost(talk)
	require.NotEmpty(t, host, "chromium names no debugging port")
	var white, longest float64
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(time.Second) {
		img, err := windowPicture(host, pdf)
		if err != nil {
			continue // not there yet
		}
		if white, longest = lookOf(img); white > 0.2 && longest > 150 {
			return
		}
	}
	t.Fatalf("chromium shows no print: %.0f %% white, the longest line has %.0f pixels", white*100, longest)
}

// debuggingHost reads where chromium listens from what it says.
func debuggingHost(talk interface{ Read([]byte) (int, error) }) string {
	lines := bufio.NewScanner(talk)
	for lines.Scan() {
		if _, after, ok := strings.Cut(lines.Text(), "listening on ws://"); ok {
			go func() {
				for lines.Scan() { // it may stop where nobody reads
				}
			}()
			host, _, _ := strings.Cut(after, "/")
			return host
		}
	}
	return ""
}

// windowPicture asks for a picture of the window that shows the file.
func windowPicture(host, file string) (image.Image, error) {
	answer, err := http.Get("http://" + host + "/json/list")
	if err != nil {
		return nil, err
	}
	defer answer.Body.Close()
	var targets []struct {
		Type, URL            string
		WebSocketDebuggerURL string `json:"webSocketDebuggerUrl"`
	}
	if err := json.NewDecoder(answer.Body).Decode(&targets); err != nil {
		return nil, err
	}
	for _, target := range targets {
		if target.Type != "page" || target.URL != "file://"+file {
			continue
		}
		ws, err := websocket.Dial(target.WebSocketDebuggerURL, "", "http://"+host)
		if err != nil {
			return nil, err
		}
		defer ws.Close()
		ws.MaxPayloadBytes = 64 << 20
		if err := ws.SetDeadline(time.Now().Add(10 * time.Second)); err != nil {
			return nil, err
		}
		if err := websocket.JSON.Send(ws, map[string]any{"id": 1, "method": "Page.captureScreenshot"}); err != nil {
			return nil, err
		}
		var got struct{ Result struct{ Data string } }
		if err := websocket.JSON.Receive(ws, &got); err != nil {
			return nil, err
		}
		png, err := base64.StdEncoding.DecodeString(got.Result.Data)
		if err != nil {
			return nil, err
		}
		img, _, err := image.Decode(bytes.NewReader(png))
		return img, err
	}
	return nil, os.ErrNotExist
}

// lookOf tells how much of a picture is white, and how long in pixels its
// longest upright line of dark ink between paper is.
func lookOf(img image.Image) (white, longest float64) {
	b := img.Bounds()
	level := func(x, y int) uint32 {
		_, g, _, _ := img.At(x, y).RGBA()
		return g >> 8
	}
	for x := b.Min.X + 3; x < b.Max.X-3; x++ {
		run := 0.0
		for y := b.Min.Y; y < b.Max.Y; y++ {
			g := level(x, y)
			if g > 250 {
				white++
			}
			if g < 160 && level(x-3, y) > 250 && level(x+3, y) > 250 {
				run++
				longest = max(longest, run)
			} else {
				run = 0
			}
		}
	}
	return white / float64(b.Dx()*b.Dy()), longest
}
