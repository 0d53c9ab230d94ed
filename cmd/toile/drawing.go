package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/render"
	"toile/repo"
)

// allDrawing is the sheet of all changed pieces among the overlays.
const allDrawing = "all.svg"

// drawingMark stands near the start of every drawing that toile makes.
var drawingMark = []byte(`class="sheet"`)

// markWithin is how many bytes of a file are searched for drawingMark: the
// title and the description come before it.
const markWithin = 64 << 10

// drawing is a file that a command draws.
type drawing struct {
	name string
	text []byte
}

// draw writes the overlays of all changed pieces into a folder and returns
// their paths. Everything is drawn before the first file is written.
func (c *comparison) draw(folder string, now func() time.Time) ([]string, error) {
	var drawings []drawing
	for _, p := range c.Pieces {
		if p.State == change.Same {
			continue
		}
		var b bytes.Buffer
		if err := render.Overlay(&b, c.sheet(p, now), c.Diff, p); err != nil {
			return nil, fmt.Errorf("%s: %w", p.Piece, err)
		}
		drawings = append(drawings, drawing{overlayName(p), b.Bytes()})
	}
	if len(drawings) == 0 {
		return nil, nil
	}
	var b bytes.Buffer
	if err := render.OverlayAll(&b, c.sheet(change.PieceDiff{}, now), c.Diff); err != nil {
		return nil, err
	}
	return writeDrawings(folder, append(drawings, drawing{allDrawing, b.Bytes()}))
}

// writeDrawings writes drawings into a folder and returns their paths.
func writeDrawings(folder string, drawings []drawing) ([]string, error) {
	return writeInto(folder, drawings, mayOverwrite)
}

// writeInto writes files into a folder and returns their paths. Every place is
// looked at, by may, before the first file is written.
func writeInto(folder string, drawings []drawing, may func(path string) error) ([]string, error) {
	if info, err := os.Stat(folder); err == nil && !info.IsDir() {
		return nil, fmt.Errorf("%s is a file; -o takes the folder that drawings are written into", folder)
	}
	if whole, err := filepath.Abs(folder); err == nil && slices.Contains(strings.Split(filepath.ToSlash(whole), "/"), ".git") {
		return nil, fmt.Errorf("%s lies in the folder that git keeps for itself; name another place with -o", folder)
	}
	if err := notAmongPieces(folder); err != nil {
		return nil, err
	}
	for _, d := range drawings {
		if err := may(filepath.Join(folder, d.name)); err != nil {
			return nil, err
		}
	}
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return nil, fmt.Errorf("the folder %s cannot be made (%w); name another place with -o", folder, bareError(err))
	}
	var written []string
	for _, d := range drawings {
		path := filepath.Join(folder, d.name)
		if err := writeFile(path, d.text); err != nil {
			return nil, err
		}
		written = append(written, path)
	}
	return written, nil
}

// overlayName is the file of a piece's overlay, apart from allDrawing.
func overlayName(p change.PieceDiff) string {
	q := p.New
	if q == nil {
		q = p.Old
	}
	slug := q.Slug
	if slug+".svg" == allDrawing {
		slug = pattern.Slug(q.Name, func(s string) bool { return s+".svg" == allDrawing })
	}
	return slug + ".svg"
}

// sheet is what the overlay of a piece bears besides it.
func (c *comparison) sheet(p change.PieceDiff, now func() time.Time) render.Sheet {
	s := render.Sheet{Pattern: c.to.Name, Unit: c.to.Unit, Version: c.now, Date: now().Format(time.DateOnly)}
	if v := c.to.kept; v != nil {
		s.Fitting = fittingWords(c.to.Pattern, v.Fitting)
	}
	if p.Piece != "" {
		s.Notes = c.notes(p)
	}
	return s
}

// notes are those pinned to the piece that the diff tells of, on FROM's sheet;
// all of them where two pieces are compared with each other.
// A note that FROM has already lies there; a later one is laid over with the
// piece.
func (c *comparison) notes(p change.PieceDiff) []render.PinnedNote {
	names := []string{p.Piece, p.Before}
	told, known := map[string]bool{}, map[string]bool{}
	for _, n := range c.Notes {
		told[n.Note] = true
	}
	var pinned []render.PinnedNote
	for _, n := range pinnedNotes(c.from.Pattern, c.to.Pattern, names, geom.Motion{}) {
		if known[n.Key] = true; told[n.Key] || p.Against {
			pinned = append(pinned, n)
		}
	}
	for _, n := range pinnedNotes(c.to.Pattern, c.to.Pattern, names, placed(p.Placement)) {
		if !known[n.Key] && (told[n.Key] || p.Against) {
			pinned = append(pinned, n)
		}
	}
	return pinned
}

// pinnedNotes are the notes of p that are pinned to a place of the piece,
// with what became of them in `now`.
func pinnedNotes(p, now *pattern.Pattern, names []string, laid geom.Motion) []render.PinnedNote {
	var pinned []render.PinnedNote
	for _, f := range p.Fittings {
		for _, n := range f.Notes {
			if n.At == nil || n.Piece == "" || (n.Piece != names[0] && n.Piece != names[len(names)-1]) {
				continue
			}
			if _, later, err := now.FindNote(f.Key(n)); err == nil {
				n.Seen, n.ToDo, n.Answered = later.Seen, later.ToDo, later.Answered
				n.Pinned, n.Left, n.Right, n.Pinch, n.Side = later.Pinned, later.Left, later.Right, later.Pinch, later.Side
			}
			text := n.Seen
			if words := pinnedWords(n, p.Unit); words != "" {
				text += "; pinned: " + words
			}
			if n.ToDo != "" {
				text += "; to do: " + n.ToDo
			}
			pinned = append(pinned, render.PinnedNote{Key: f.Key(n), Text: text, At: laid.Apply(*n.At), Open: n.Open(), Answered: n.Answered})
		}
	}
	return pinned
}

// fileAt reports whether a file lies at a path; what lies there and is none is
// refused.
func fileAt(path string) (bool, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return false, nil
	case err != nil:
		return false, err
	case !info.Mode().IsRegular():
		return false, fmt.Errorf("%s is no file; name another place with -o", path)
	}
	return true, nil
}

// mayOverwrite refuses a path at which something lies that toile did not
// draw.
func mayOverwrite(path string) error { return mayReplace(path, drawingMark, "drawing") }

// mayReplace refuses a path at which something lies that does not bear one of
// toile's marks; kind is what would bear it. An empty file may be replaced.
func mayReplace(path string, mark []byte, kind string) error {
	if there, err := fileAt(path); !there {
		return err
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	head, err := io.ReadAll(io.LimitReader(f, markWithin))
	if err != nil {
		return err
	}
	if len(head) > 0 && !bytes.Contains(head, mark) {
		return fmt.Errorf("%s is there already and is no %s of toile's; name another place with -o, or move it away", path, kind)
	}
	return nil
}

// notAmongPieces refuses the folders in which a pattern keeps its pieces and
// fittings: what is drawn of them is not to lie among them, and be kept and sent
// with every version.
func notAmongPieces(folder string) error {
	whole, err := filepath.Abs(folder)
	if err != nil {
		return nil // writing will say so
	}
	if real, err := filepath.EvalSymlinks(whole); err == nil {
		whole = real
	}
	name := filepath.Base(whole)
	if name != repo.PiecesFolder && name != repo.FittingsFolder {
		return nil
	}
	if _, err := os.Stat(filepath.Join(filepath.Dir(whole), repo.PatternFile)); err != nil {
		return nil
	}
	return fmt.Errorf("%s is where the pattern keeps its %s; name another place with -o", folder, name)
}

// writeFile puts a whole file in place or leaves what was there. Where a link
// leads to a file, that is replaced and the link stays.
func writeFile(path string, text []byte) error {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	folder := filepath.Dir(path)
	if err := notAmongPieces(folder); err != nil {
		return err
	}
	f, err := os.CreateTemp(folder, ".toile-*")
	_, missing := os.Stat(folder)
	switch {
	case err != nil && errors.Is(missing, fs.ErrNotExist):
		return fmt.Errorf("%s cannot be written, because there is no folder %s; make it first, or name another place with -o", path, folder)
	case err != nil:
		return fmt.Errorf("%s cannot be written, because its folder %s cannot be written (%w); name another place with -o", path, folder, bareError(err))
	}
	defer os.Remove(f.Name())
	_, err = f.Write(text)
	if err == nil {
		err = f.Chmod(0o644)
	}
	if closeErr := f.Close(); err == nil {
		err = closeErr
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return fmt.Errorf("%s cannot be written: %w", path, bareError(err))
	}
	return nil
}

// bareError is an error of the file system without the name of the file, which
// may be one that nobody knows.
func bareError(err error) error {
	if e := (*fs.PathError)(nil); errors.As(err, &e) {
		return e.Err
	}
	if e := (*os.LinkError)(nil); errors.As(err, &e) {
		return e.Err
	}
	return err
}
