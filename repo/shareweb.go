package repo

import (
	"bytes"
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// webWire speaks git's smart protocol over https.
type webWire struct {
	watch    *watch
	address  Address
	service  string
	programs Programs
	base     *url.URL
	client   *http.Client
	signIn   *signIn
	bodies   []io.Closer
}

// webClient follows the server to another path, never to another server.
func webClient(base *url.URL) *http.Client {
	return &http.Client{
		Transport: webTransport(),
		CheckRedirect: func(req *http.Request, via []*http.Request) error {
			if req.URL.Host != base.Host || req.URL.Scheme != base.Scheme {
				return fmt.Errorf("%s sends on to %s; if that is right, use its address", Printable(base.Host), Printable(req.URL.Host))
			}
			if len(via) > 5 || req.Method != http.MethodGet {
				return errors.New("the server sends on and on")
			}
			return nil
		},
	}
}

func webTransport() http.RoundTripper {
	t := http.DefaultTransport.(*http.Transport).Clone()
	t.DisableCompression = true // what unpacks in the library cannot be bounded by what came
	t.MaxResponseHeaderBytes = 64 << 10
	return t
}

const infoRefs = "/info/refs"

func (h *webWire) listing() (*listing, error) {
	res, err := h.get()
	if err != nil {
		return nil, err
	}
	if want := "application/x-" + h.service + "-advertisement"; res.Header.Get("Content-Type") != want {
		return nil, fmt.Errorf("%s holds no pattern at that address: it is not a git server, or one that is too old", h.address.where())
	}
	// Where the server sent on to another path, the rest is asked there too.
	if at, ok := strings.CutSuffix(res.Request.URL.Path, infoRefs); ok {
		moved := *h.base
		moved.Path, moved.RawPath = at, ""
		h.base = &moved
	}
	return readListing(h.watch.reader(res.Body))
}

// get asks for the listing, with a sign-in where the server wants one: once with
// what is stored or typed.
func (h *webWire) get() (*http.Response, error) {
	for {
		u := *h.base
		u.User, u.Path, u.RawQuery = nil, u.Path+infoRefs, "service="+h.service
		req, err := http.NewRequestWithContext(h.watch.ctx, http.MethodGet, u.String(), nil)
		if err != nil {
			return nil, err
		}
		res, err := h.do(req)
		if err != nil {
			return nil, err
		}
		if res.StatusCode != http.StatusUnauthorized {
			return res, h.judge(res)
		}
		if h.signIn != nil {
			h.signIn.refused()
			return nil, fmt.Errorf("%s did not take the sign-in; it was forgotten again: try once more, or ask whoever keeps the server", h.address.where())
		}
		done := h.watch.pause()
		h.signIn, err = askSignIn(h.watch.ctx, h.programs, h.base, h.address.user)
		done()
		if err != nil {
			return nil, err
		}
	}
}

func (h *webWire) do(req *http.Request) (*http.Response, error) {
	req.Header.Set("User-Agent", "git/toile")
	if h.signIn != nil {
		req.Header.Set("Authorization", "Basic "+base64.StdEncoding.EncodeToString([]byte(h.signIn.name+":"+h.signIn.secret)))
	}
	res, err := h.client.Do(req)
	if err != nil {
		if e := (*url.Error)(nil); errors.As(err, &e) {
			err = e.Err // without the address, which is in the sentence
		}
		return nil, fmt.Errorf("%s cannot be reached: %w", h.address.where(), h.watch.why(err))
	}
	h.bodies = append(h.bodies, res.Body)
	return res, nil
}

// judge says what a server's status means.
func (h *webWire) judge(res *http.Response) error {
	switch res.StatusCode {
	case http.StatusOK:
		if h.signIn != nil {
			h.signIn.accepted()
		}
		return nil
	case http.StatusNotFound:
		return fmt.Errorf("%s has no pattern at that address, or does not show it to you; look at the address", h.address.where())
	case http.StatusForbidden, http.StatusUnauthorized:
		return fmt.Errorf("%s does not allow that to you; ask whoever keeps the server", h.address.where())
	}
	return fmt.Errorf("%s answers with status %d; try again later, or ask whoever keeps the server", h.address.where(), res.StatusCode)
}

func (h *webWire) ask(request io.Reader, size int64) (io.Reader, error) {
	u := *h.base
	u.User, u.Path = nil, u.Path+"/"+h.service
	body := h.watch.reader(request)
	req, err := http.NewRequestWithContext(h.watch.ctx, http.MethodPost, u.String(), io.NopCloser(body))
	if err != nil {
		return nil, err
	}
	req.ContentLength = size
	req.Header.Set("Content-Type", "application/x-"+h.service+"-request")
	req.Header.Set("Accept", "application/x-"+h.service+"-result")
	res, err := h.do(req)
	if err != nil {
		return nil, err
	}
	return h.watch.reader(res.Body), h.judge(res)
}

func (h *webWire) close(failed error) error {
	for _, b := range h.bodies {
		_ = b.Close()
	}
	h.client.CloseIdleConnections()
	return h.watch.why(failed)
}

// signIn is a name and a secret for one server, in memory alone.
type signIn struct {
	programs     Programs
	question     string
	name, secret string
}

// signInPatience is how long somebody may take to type.
const signInPatience = 2 * time.Minute

// askSignIn asks the git program, which asks the stores of passwords that the
// account has, or on the terminal.
func askSignIn(ctx context.Context, programs Programs, base *url.URL, user string) (*signIn, error) {
	s := &signIn{programs: programs}
	if s.programs.Git == "" {
		s.programs.Git = "git"
	}
	for _, text := range []string{base.Scheme, base.Host, base.Path, user} {
		if strings.ContainsAny(text, "\r\n\x00") { // each would begin another line of the question
			return nil, fmt.Errorf("%s wants a sign-in, and its address holds characters that do not show; look at the address", Printable(base.Host))
		}
	}
	s.question = fmt.Sprintf("protocol=%s\nhost=%s\npath=%s\n", base.Scheme, base.Host, strings.TrimPrefix(base.Path, "/"))
	if user != "" {
		s.question += "username=" + user + "\n"
	}
	ctx, cancel := context.WithTimeout(ctx, signInPatience)
	defer cancel()
	out, err := s.credential(ctx, "fill", s.question)
	if errors.Is(err, exec.ErrNotFound) {
		return nil, fmt.Errorf("%s wants a sign-in; install git and let it store one, or use an address with ssh", Printable(base.Host))
	}
	for line := range strings.Lines(out) {
		key, value, _ := strings.Cut(strings.TrimRight(line, "\r\n"), "=")
		switch key {
		case "username":
			s.name = value
		case "password":
			s.secret = value
		}
	}
	if err != nil || s.secret == "" {
		return nil, fmt.Errorf("%s wants a sign-in, and git has none stored; set up git's store of passwords (git help credentials), or use an address with ssh", Printable(base.Host))
	}
	return s, nil
}

func (s *signIn) credential(ctx context.Context, what, text string) (string, error) {
	cmd := exec.CommandContext(ctx, s.programs.Git, "credential", what)
	// The account's own settings count, never those of a pattern, which somebody
	// else may have made: they name programs to run.
	cmd.Dir = topFolder(s.programs.Dir)
	cmd.Env = withoutRepository(os.Environ())
	cmd.WaitDelay = time.Second
	cmd.Stdin = strings.NewReader(text + "\n")
	cmd.Stderr = io.Discard // a helper may repeat what it was given
	var out bytes.Buffer
	cmd.Stdout = &out
	err := cmd.Run()
	return out.String(), err
}

// accepted and refused tell the store of passwords; that it cannot be told is no
// reason to fail.
func (s *signIn) accepted() { s.tell("approve") }
func (s *signIn) refused()  { s.tell("reject") }

func (s *signIn) tell(what string) {
	if s.question == "" {
		return
	}
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	text := fmt.Sprintf("%susername=%s\npassword=%s\n", s.withoutUser(), s.name, s.secret)
	_, _ = s.credential(ctx, what, text)
	if what == "approve" {
		s.question = "" // once is enough
	}
}

func (s *signIn) withoutUser() string {
	head, _, _ := strings.Cut(s.question, "username=")
	return head
}

// topFolder is the top of the disk that a folder lies on.
func topFolder(dir string) string {
	if full, err := filepath.Abs(dir); err == nil {
		dir = full
	}
	return filepath.VolumeName(dir) + string(filepath.Separator)
}

// withoutRepository leaves out of an environment what would name a repository.
func withoutRepository(env []string) []string {
	return slices.DeleteFunc(env, func(e string) bool {
		name, _, _ := strings.Cut(e, "=")
		return slices.Contains([]string{"GIT_DIR", "GIT_WORK_TREE", "GIT_COMMON_DIR", "GIT_CONFIG"}, name)
	})
}
