package pattern

import (
	"fmt"
	"sort"
	"strings"
)

// The files of a pattern's folder.
const (
	PatternFile    = "pattern.yaml"
	RecipesFile    = "recipes.yaml"
	AttributesFile = ".gitattributes"
	PieceFolder    = "pieces/"
	FittingFolder  = "fittings/"
)

// attributes keeps other programs from rewriting line ends.
const attributes = "* -text\n"

// FileName returns the piece's file in the folder.
func (p *Piece) FileName() string { return PieceFolder + p.Slug + ".yaml" }

// FileName returns the fitting's file in the folder.
func (f *Fitting) FileName() string {
	return fmt.Sprintf("%s%02d-%s.yaml", FittingFolder, f.Number, f.ID[:4])
}

// Decode reads a whole pattern from its files, by slash path, and validates
// it: each piece, and that seams, layers and notes name what exists. Errors
// are *FileError with file, line and reason. Files are read in any key order
// and any spelling of numbers that the format allows.
func Decode(files map[string][]byte) (*Pattern, error) {
	text, ok := files[PatternFile]
	if !ok {
		return nil, &FileError{File: PatternFile, Reason: "the file is missing; a pattern is started with `toile start`"}
	}
	p, err := decodePattern(text)
	if err != nil {
		return nil, err
	}
	var names []string
	for name := range files {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		if err := p.decodeFile(name, files[name]); err != nil {
			return nil, err
		}
	}
	if err := p.validate(); err != nil {
		return nil, err
	}
	return p, nil
}

func (p *Pattern) decodeFile(name string, text []byte) error {
	switch {
	case strings.HasPrefix(name, PieceFolder) && strings.HasSuffix(name, ".yaml"):
		slug := strings.TrimSuffix(strings.TrimPrefix(name, PieceFolder), ".yaml")
		q, err := DecodePiece(name, slug, text)
		if err != nil {
			return err
		}
		p.Pieces = append(p.Pieces, q)
	case strings.HasPrefix(name, FittingFolder) && strings.HasSuffix(name, ".yaml"):
		f, err := decodeFitting(name, text)
		if err != nil {
			return err
		}
		p.Fittings = append(p.Fittings, f)
	}
	return nil
}

// validate checks what pieces, seams, layers and fittings say of each other.
func (p *Pattern) validate() error {
	names, ids := map[string]string{}, map[string]string{}
	for _, q := range p.Pieces {
		if other, ok := names[q.Name]; ok {
			return &FileError{File: q.FileName(), Line: 1, Reason: fmt.Sprintf("the name %q is taken by %s; rename one", q.Name, other)}
		}
		names[q.Name] = q.FileName()
		if other, ok := ids[q.ID]; ok && q.ID != "" {
			return &FileError{File: q.FileName(), Line: 2, Reason: fmt.Sprintf("the id %s is that of %s too; leave the id line out of the copy and it gets its own", q.ID, other)}
		}
		ids[q.ID] = q.FileName()
		for i := range q.Edges {
			for set := range q.Edges[i].Allowance {
				if !p.HasSet(set) {
					return &FileError{File: q.FileName(), Reason: fmt.Sprintf("edge %q has an allowance in the set %q; the sets are %s", q.Edges[i].Name, set, quoteList(p.Sets))}
				}
			}
		}
	}
	for i := range p.Seams {
		if err := p.ValidateSeam(&p.Seams[i]); err != nil {
			return &FileError{File: PatternFile, Reason: err.Error()}
		}
	}
	for _, l := range p.Layers {
		for _, name := range append([]string{l.Outer}, l.Inner...) {
			if _, err := p.Piece(name); err != nil {
				return &FileError{File: PatternFile, Reason: "layers: " + err.Error()}
			}
		}
	}
	return p.validateFittings()
}

func (p *Pattern) validateFittings() error {
	numbers := map[int]bool{}
	for _, f := range p.Fittings {
		if f.ID == "" {
			f.ID = p.NewFittingID(f)
		}
		if numbers[f.Number] {
			return &FileError{File: f.FileName(), Line: 1, Reason: fmt.Sprintf("there are two fittings %d", f.Number)}
		}
		numbers[f.Number] = true
	}
	sort.Slice(p.Fittings, func(i, j int) bool { return p.Fittings[i].Number < p.Fittings[j].Number })
	return nil
}

// ValidateSeam checks that a seam's stretches, notches and openings exist.
func (p *Pattern) ValidateSeam(s *Seam) error {
	for _, c := range []Chain{s.First, s.Second} {
		for _, st := range c {
			q, err := p.Piece(st.Piece)
			if err != nil {
				return fmt.Errorf("seam %q: %w", s.Name, err)
			}
			i, err := q.EdgeIndex(st.Edge)
			if err != nil || q.Edges[i].Name != st.Edge {
				return fmt.Errorf("seam %q: %s has no edge %q; its edges are %s", s.Name, q.Name, st.Edge, quoteList(q.EdgeNames()))
			}
			if q.Edges[i].Fold {
				return fmt.Errorf("seam %q: %s is a fold; a fold is not sewn", s.Name, st)
			}
			length := q.EdgePath(i).Length()
			if st.From < 0 || st.To < 0 || st.From > length+0.001 || st.To > length+0.001 || (st.To != 0 && st.To <= st.From) {
				return fmt.Errorf("seam %q: the stretch from %s to %s mm does not lie on %s, which is %s mm long", s.Name, number(st.From), number(st.To), st, number(length))
			}
		}
	}
	for _, c := range s.Sections {
		for _, ref := range []NotchRef{c.First, c.Second} {
			if ref.Piece == "" {
				continue
			}
			q, err := p.Piece(ref.Piece)
			if err != nil {
				return fmt.Errorf("seam %q: %w", s.Name, err)
			}
			if q.NotchByName(ref.Notch) < 0 {
				return fmt.Errorf("seam %q: %s has no notch %q", s.Name, ref.Piece, ref.Notch)
			}
		}
	}
	return nil
}

// Encode prints every file of the pattern in canonical form. Pieces and edges
// without an id get one first.
func (p *Pattern) Encode() (map[string][]byte, error) {
	files := map[string][]byte{AttributesFile: []byte(attributes)}
	text, err := p.encodePattern()
	if err != nil {
		return nil, err
	}
	files[PatternFile] = text
	for _, q := range p.Pieces {
		p.GiveIDs(q)
		if q.Slug == "" {
			q.Slug = p.NewSlug(q.Name)
		}
		if files[q.FileName()], err = q.Encode(); err != nil {
			return nil, err
		}
	}
	for _, f := range p.Fittings {
		if f.ID == "" {
			f.ID = p.NewFittingID(f)
		}
		if files[f.FileName()], err = f.encode(); err != nil {
			return nil, err
		}
	}
	return files, nil
}
