package trace

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
)

// Read opens a file and reads it as what it is: by its ending (.svg, .svgz,
// .dxf, .points), and where that tells nothing by its first characters.
func Read(path string, o Options, p PointsOptions) (*Drawing, error) {
	f, err := os.Open(path)
	if err != nil {
		var cause *os.PathError
		if errors.As(err, &cause) {
			err = cause.Err
		}
		return nil, &Error{File: path, Err: err}
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, &Error{File: path, Err: errors.New("that is a folder; name the drawings or points files in it")}
	}
	switch strings.ToLower(filepath.Ext(path)) {
	case ".svg", ".svgz":
		return ReadSVG(path, f, o)
	case ".dxf":
		return ReadDXF(path, f, o)
	case ".points":
		return ReadPoints(path, f, p)
	}
	head, err := bufio.NewReaderSize(f, 512).Peek(512)
	if err != nil && err != io.EOF {
		return nil, &Error{File: path, Err: err}
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return nil, &Error{File: path, Err: err}
	}
	switch {
	case looksLikeSVG(head):
		return ReadSVG(path, f, o)
	case looksLikeDXF(head):
		return ReadDXF(path, f, o)
	case looksLikePoints(head):
		return ReadPoints(path, f, p)
	}
	return nil, &Error{File: path, Err: errors.New("neither an SVG or DXF drawing nor a points file; " +
		"save the drawing as .svg or .dxf, or list the points in a file that ends in .points")}
}

func looksLikeSVG(head []byte) bool {
	text := bytes.TrimLeft(bytes.ReplaceAll(head, []byte{0}, nil), "\xef\xbb\xbf\xfe\xff \t\r\n")
	return bytes.HasPrefix(head, []byte{0x1f, 0x8b}) || bytes.HasPrefix(text, []byte("<"))
}

// looksLikeDXF finds a section at the start, or the sign of a binary file.
func looksLikeDXF(head []byte) bool {
	if bytes.HasPrefix(head, []byte(dxfBinary)) {
		return true
	}
	s := newDXFScanner(bytes.NewReader(bytes.TrimPrefix(head, []byte("\xef\xbb\xbf"))))
	g, err := s.next()
	return err == nil && g.code == 0 && g.value == "SECTION"
}

// looksLikePoints finds the first line that is no comment to be a piece, a
// unit, or a pair of numbers.
func looksLikePoints(head []byte) bool {
	for line := range strings.Lines(strings.TrimPrefix(string(head), "\ufeff")) {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		if key, _, ok := keyed(line); ok {
			return key == "piece" || key == "unit"
		}
		_, _, err := readPair(line)
		return err == nil
	}
	return false
}
