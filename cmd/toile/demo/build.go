package demo

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"toile/pattern"
	"toile/repo"
)

// Made is what a demo wrote.
type Made struct {
	Pattern  string // the pattern's folder
	Drawings string // the folder of the overlays and piece sheets
	Index    string // the page to open
	Pieces   int
	Versions []repo.Version // oldest first, the branch's after them
	Files    int            // drawings
}

// Folders and files within the demo's folder. The drawings lie beside the
// pattern, not in it, so that its folder holds nothing that is not kept.
const (
	patternFolder = "orchard-smock"
	drawingFolder = "drawings"
	indexFile     = "index.html"
)

// Write builds the demo in dir, which is made; a folder that holds anything is
// refused untouched.
func Write(dir string) (*Made, error) {
	if err := refuseUsed(dir); err != nil {
		return nil, err
	}
	m := &Made{Pattern: filepath.Join(dir, patternFolder), Drawings: filepath.Join(dir, drawingFolder), Index: filepath.Join(dir, indexFile)}
	if err := os.MkdirAll(m.Drawings, 0o777); err != nil {
		return nil, err
	}
	r, err := m.build()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	return m, m.draw(r)
}

func refuseUsed(dir string) error {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("the folder for the demo cannot be read: %w", err)
	}
	if len(entries) > 0 {
		return fmt.Errorf("the folder %s is not empty; name a new one: toile demo DIR", dir)
	}
	return nil
}

// build starts the pattern and keeps every version of the story, then the
// branch's, and ends on the first branch.
func (m *Made) build() (*repo.Repo, error) {
	p, err := smock()
	if err != nil {
		return nil, err
	}
	m.Pieces = len(p.Pieces)
	files, err := pattern.New(p.Name, p.Unit).Encode()
	if err != nil {
		return nil, err
	}
	r, err := repo.Start(m.Pattern, files)
	if err != nil {
		return nil, err
	}
	for i, c := range story() {
		if err := m.keep(r, p, c, i); err != nil {
			r.Close()
			return nil, err
		}
	}
	if err := m.keepBranch(r); err != nil {
		r.Close()
		return nil, err
	}
	return r, nil
}

func (m *Made) keep(r *repo.Repo, p *draft, c chapter, day int) error {
	if err := c.do(p); err != nil {
		return fmt.Errorf("%s: %w", c.text, err)
	}
	for _, key := range c.answers {
		_, note, err := p.FindNote(key)
		if err != nil {
			return err
		}
		note.Answered = day + 1
	}
	files, err := p.Encode()
	if err != nil {
		return err
	}
	if _, err := pattern.Decode(files); err != nil {
		return fmt.Errorf("%s: %w", c.text, err)
	}
	if err := p.recipes(files); err != nil {
		return fmt.Errorf("%s: %w", c.text, err)
	}
	v, err := r.Commit(files, repo.CommitOptions{Text: c.text, Author: r.DefaultAuthor("toile demo"),
		Time: firstDay.Add(time.Duration(day) * 24 * time.Hour), Fitting: c.fitting, Answers: c.answers})
	if err != nil {
		return fmt.Errorf("%s: %w", c.text, err)
	}
	m.Versions = append(m.Versions, v)
	return nil
}

// keepBranch branches off an earlier version, keeps one there, and goes back.
func (m *Made) keepBranch(r *repo.Repo) error {
	from := m.Versions[branchFrom-1]
	files, err := r.Read(from)
	if err != nil {
		return err
	}
	p, err := pattern.Decode(files)
	if err != nil {
		return err
	}
	if err := r.NewBranch(branchName, from); err != nil {
		return err
	}
	if err := r.Use(branchName); err != nil {
		return err
	}
	if err := m.keep(r, &draft{Pattern: p}, branchChapter(), len(m.Versions)); err != nil {
		return err
	}
	if err := r.Name("ladder-proof", m.Versions[4]); err != nil {
		return err
	}
	return r.Use(repo.FirstBranch)
}
