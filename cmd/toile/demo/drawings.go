package demo

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"toile/diff"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/check"
	"toile/render"
	"toile/repo"
)

// draw reads every version back from the store, draws what each changed, the
// pieces as they are now, and the index page.
func (m *Made) draw(r *repo.Repo) error {
	page := render.IndexPage{Title: "Orchard smock", Intro: "A smock for fruit pickers, from the first trace through three fittings. " +
		"Each drawing lays the later outline over the earlier one: what was added, what was taken away, what moved."}
	states := map[string]*pattern.Pattern{}
	for _, v := range m.Versions {
		files, err := r.Read(v)
		if err != nil {
			return err
		}
		if states[v.ID], err = pattern.Decode(files); err != nil {
			return err
		}
	}
	for _, v := range m.Versions {
		entry, err := m.drawVersion(states, v)
		if err != nil {
			return fmt.Errorf("version %d: %w", v.Number, err)
		}
		page.Versions = append(page.Versions, entry)
	}
	last := m.Versions[len(m.Versions)-2]
	if err := m.drawPieces(states[last.ID], last, &page); err != nil {
		return err
	}
	if err := m.drawSeam(states[last.ID], last, &page); err != nil {
		return err
	}
	var b bytes.Buffer
	if err := render.Index(&b, page); err != nil {
		return err
	}
	return os.WriteFile(m.Index, b.Bytes(), 0o666)
}

func (m *Made) drawVersion(states map[string]*pattern.Pattern, v repo.Version) (render.IndexVersion, error) {
	entry := render.IndexVersion{Number: v.Number, Text: v.Text, Fitting: fittingName(states[v.ID], v.Fitting)}
	if v.Branch != repo.FirstBranch {
		entry.Text += " (branch " + v.Branch + ")"
	}
	if len(v.Parents) == 0 {
		entry.Says = []string{fmt.Sprintf("%d pieces, %d seams", m.Pieces, len(states[v.ID].Seams))}
		return entry, nil
	}
	before, after := states[v.Parents[0]], states[v.ID]
	d, err := diff.Patterns(before, after, m.side(v.Parents[0]), change.Version{Number: v.Number, ID: v.ID, Text: v.Text})
	if err != nil {
		return entry, err
	}
	changed := 0
	for _, p := range d.Pieces {
		if p.State == change.Same {
			continue
		}
		changed++
		for _, c := range p.Changes {
			entry.Says = append(entry.Says, p.Piece+": "+c.Says)
		}
		sheet := sheetFor(after, v)
		sheet.Notes = pinned(after, p.Piece, v)
		name := fmt.Sprintf("%s-%02d-%s.svg", v.Branch, v.Number, slugOf(p))
		if err := m.file(name, func(b *bytes.Buffer) error { return render.Overlay(b, sheet, d, p) }); err != nil {
			return entry, err
		}
		entry.Drawings = append(entry.Drawings, render.IndexDrawing{File: drawingFolder + "/" + name, Title: p.Piece})
	}
	for _, t := range d.Texts {
		if t.Before == "" {
			entry.Says = append(entry.Says, t.What+": "+t.After)
		}
	}
	if changed == 0 {
		return entry, nil
	}
	name := fmt.Sprintf("%s-%02d-all.svg", v.Branch, v.Number)
	if err := m.file(name, func(b *bytes.Buffer) error { return render.OverlayAll(b, sheetFor(after, v), d) }); err != nil {
		return entry, err
	}
	entry.Drawings = append(entry.Drawings, render.IndexDrawing{File: drawingFolder + "/" + name, Title: "all changed pieces"})
	return entry, nil
}

func (m *Made) side(id string) change.Version {
	for _, v := range m.Versions {
		if v.ID == id {
			return change.Version{Number: v.Number, ID: v.ID, Text: v.Text}
		}
	}
	return change.Version{ID: id}
}

func (m *Made) drawPieces(p *pattern.Pattern, v repo.Version, page *render.IndexPage) error {
	for _, q := range p.Pieces {
		name := "piece-" + q.Slug + ".svg"
		sheet := sheetFor(p, v)
		if err := m.file(name, func(b *bytes.Buffer) error { return render.Piece(b, sheet, q, pattern.ClothSet) }); err != nil {
			return fmt.Errorf("%s: %w", q.Name, err)
		}
		page.Pieces = append(page.Pieces, render.IndexDrawing{File: drawingFolder + "/" + name, Title: q.Name})
	}
	return nil
}

// shownSeam is the seam that the demo draws with its two sides laid along each
// other.
const shownSeam = "armhole"

func (m *Made) drawSeam(p *pattern.Pattern, v repo.Version, page *render.IndexPage) error {
	for i := range p.Seams {
		s := &p.Seams[i]
		if s.Name != shownSeam {
			continue
		}
		found, err := check.Run(p, check.Options{})
		if err != nil {
			return err
		}
		of := slices.DeleteFunc(found.Findings, func(f change.Finding) bool { return f.Seam != s.Name })
		name := "seam-" + shownSeam + ".svg"
		if err := m.file(name, func(b *bytes.Buffer) error { return render.Seam(b, sheetFor(p, v), p, s, of) }); err != nil {
			return err
		}
		page.Pieces = append(page.Pieces, render.IndexDrawing{File: drawingFolder + "/" + name, Title: "seam " + shownSeam + ", both sides laid along each other"})
	}
	return nil
}

func (m *Made) file(name string, draw func(*bytes.Buffer) error) error {
	var b bytes.Buffer
	if err := draw(&b); err != nil {
		return err
	}
	m.Files++
	return os.WriteFile(filepath.Join(m.Drawings, name), b.Bytes(), 0o666)
}

func sheetFor(p *pattern.Pattern, v repo.Version) render.Sheet {
	return render.Sheet{Pattern: p.Name, Unit: p.Unit, Version: fmt.Sprintf("version %d, %s", v.Number, v.Time.Format("2006-01-02")), Fitting: fittingName(p, v.Fitting)}
}

func fittingName(p *pattern.Pattern, number int) string {
	if f, err := p.Fitting(number); err == nil && number != 0 {
		return fmt.Sprintf("fitting %d, %s", f.Number, f.Date)
	}
	return ""
}

// pinned lists the notes on a piece that the version answers or leaves open.
func pinned(p *pattern.Pattern, piece string, v repo.Version) []render.PinnedNote {
	var notes []render.PinnedNote
	for _, f := range p.Fittings {
		for _, n := range f.Notes {
			if n.Piece != piece || n.At == nil || (n.Answered != 0 && n.Answered != v.Number) {
				continue
			}
			notes = append(notes, render.PinnedNote{Key: f.Key(n), Text: n.Seen, At: *n.At, Open: n.Answered == 0})
		}
	}
	return notes
}

func slugOf(p change.PieceDiff) string {
	if p.New != nil {
		return p.New.Slug
	}
	return p.Old.Slug
}
