package pattern

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
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
// it: each piece, and that seams and layers name what exists. Pieces come by
// slug, fittings by number. Errors are *FileError with file, line and reason;
// the line is 0 where none is to blame, as when a file is missing. Keys may
// stand in any order, and numbers and texts be quoted or not. What notes say
// of pieces and edges is not checked: a fitting tells of the version that was
// sewn, and its pieces may be gone.
func Decode(files map[string][]byte) (*Pattern, error) { return new(Reader).Decode(files) }

// Decode is the function of that name for files of which some were read before.
func (r *Reader) Decode(files map[string][]byte) (*Pattern, error) {
	return r.decode(files, decoding{})
}

// DecodeKept is Decode for the files of a version. One that was made before two
// fittings with one id were refused may hold such: the later number is read as if
// its file had no id, and so gets its own.
func (r *Reader) DecodeKept(files map[string][]byte) (*Pattern, error) {
	return r.decode(files, decoding{kept: true})
}

// decode is what Decode, DecodeKept and DecodeSome have in common; how says which.
func (r *Reader) decode(files map[string][]byte, how decoding) (*Pattern, error) {
	text, ok := files[PatternFile]
	if !ok {
		return nil, &FileError{File: PatternFile, Reason: "the file is missing; a pattern is started with `toile start`"}
	}
	p, head, err := decodePattern(text)
	if err != nil {
		return nil, err
	}
	d := decoding{Pattern: p, part: how.part, kept: how.kept, reader: r, head: head, pieces: map[*Piece]lines{}, fittings: map[*Fitting]lines{}, numbers: map[int]string{}}
	names := slices.Sorted(maps.Keys(files))
	r.readAhead(names, files)
	for _, name := range names {
		if err := d.file(name, files[name]); err != nil {
			return nil, err
		}
	}
	slices.SortFunc(p.Pieces, func(a, b *Piece) int { return cmp.Compare(a.Slug, b.Slug) })
	slices.SortStableFunc(p.Fittings, func(a, b *Fitting) int { return cmp.Compare(a.Number, b.Number) })
	for _, check := range []func() error{d.checkPieces, d.checkFittings, d.checkSeams, d.checkLayers} {
		if err := check(); err != nil {
			return nil, err
		}
	}
	for _, f := range p.Fittings {
		if f.ID == "" {
			f.ID = p.NewFittingID(f, "")
		}
	}
	return p, nil
}

// decoding is a pattern being read, with the lines where everything stands.
type decoding struct {
	*Pattern
	part     bool // other pieces are there and were not read
	kept     bool // it is a version, and not what is to become one
	reader   *Reader
	head     lines
	pieces   map[*Piece]lines
	fittings map[*Fitting]lines
	numbers  map[int]string // of fittings, and their files
}

// file reads one file of the two folders; others are not the pattern's.
func (d *decoding) file(name string, text []byte) error {
	if slug, ok := inFolder(name, PieceFolder); ok {
		if !isSlug(slug) {
			return &FileError{File: name, Reason: "a piece's file is named with a-z, 0-9 and hyphens, as in " + PieceFolder + "front.yaml; rename it"}
		}
		q, where, err := d.reader.decodePiece(name, slug, text)
		if err != nil {
			return err
		}
		d.Pieces = append(d.Pieces, q)
		d.pieces[q] = where
	}
	if _, ok := inFolder(name, FittingFolder); ok {
		f, where, err := decodeFitting(name, text)
		if err != nil {
			return err
		}
		if other, ok := d.numbers[f.Number]; ok {
			return &FileError{File: name, Line: where.of(spot{PartPiece, 0, "fitting"}), Reason: fmt.Sprintf("fitting %d stands in %s too; number one anew", f.Number, other)}
		}
		d.numbers[f.Number], d.fittings[f] = name, where
		d.Fittings = append(d.Fittings, f)
	}
	return nil
}

func inFolder(name, folder string) (slug string, ok bool) {
	name, ok = strings.CutPrefix(name, folder)
	if !ok {
		return "", false
	}
	return strings.CutSuffix(name, ".yaml")
}

// checkPieces checks what pieces may not share, and their allowance sets.
func (d *decoding) checkPieces() error {
	names, ids := map[string]string{}, map[string]string{}
	for _, q := range d.Pieces {
		fail := func(at spot, format string, args ...any) error {
			return &FileError{File: q.FileName(), Line: d.pieces[q].of(at), Reason: q.Name + ": " + fmt.Sprintf(format, args...)}
		}
		if other, ok := names[q.Name]; ok {
			return fail(spot{PartPiece, 0, "name"}, "the name is taken by %s; rename one", other)
		}
		names[q.Name] = q.FileName()
		if other, ok := ids[q.ID]; ok && q.ID != "" {
			return fail(spot{PartPiece, 0, "id"}, "the id %s is that of %s too; leave the id line out of the copy and it gets its own", q.ID, other)
		}
		ids[q.ID] = q.FileName()
		for i, e := range q.Edges {
			for _, set := range slices.Sorted(maps.Keys(e.Allowance)) {
				if !d.HasSet(set) {
					return fail(spot{PartEdge, i, "allowance"}, "edge %q: it has an allowance in the set %q; the sets are %s", e.Name, set, quoteList(d.Sets))
				}
			}
		}
	}
	return nil
}

// checkFittings refuses two fittings with one id, by which a merge knows them. In
// a version it takes it from the later one.
func (d *decoding) checkFittings() error {
	ids := map[string]string{}
	for _, f := range d.Fittings {
		other, taken := ids[f.ID]
		switch {
		case f.ID == "":
		case !taken:
			ids[f.ID] = d.numbers[f.Number]
		case d.kept:
			f.ID = ""
		default:
			return &FileError{File: d.numbers[f.Number], Line: d.fittings[f].of(spot{PartPiece, 0, "id"}),
				Reason: fmt.Sprintf("fitting %d: the id %s is that of %s too; leave the id line out of the copy and it gets its own", f.Number, f.ID, other)}
		}
	}
	return nil
}

func (d *decoding) checkSeams() error {
	names := map[string]bool{}
	for i := range d.Seams {
		s := &d.Seams[i]
		if names[s.Name] {
			return d.fail(spot{partSeam, i, "name"}, "two seams bear the name %q; rename one", s.Name)
		}
		names[s.Name] = true
		if d.leftOut(s.PiecesOf()) {
			continue
		}
		if key, err := d.seamProblem(s); err != nil {
			return d.fail(spot{partSeam, i, key}, "seam %q: %v", s.Name, err)
		}
	}
	return nil
}

func (d *decoding) checkLayers() error {
	for i, l := range d.Layers {
		if d.leftOut(l.PiecesOf()) {
			continue
		}
		if _, err := d.Piece(l.Outer); err != nil {
			return d.fail(spot{partLayer, i, "outer"}, "layers: %v", err)
		}
		seen := map[string]bool{l.Outer: true}
		for k, name := range l.Inner {
			at := spot{partLayer, i, entry("inner", k)}
			if _, err := d.Piece(name); err != nil {
				return d.fail(at, "layers of %s: %v", l.Outer, err)
			}
			if seen[name] {
				return d.fail(at, "layers of %s: %s stands twice; name it once", l.Outer, name)
			}
			seen[name] = true
		}
		if k, err := d.differenceProblem(l); err != nil {
			return d.fail(spot{partLayer, i, entry("differences", k)}, "layers of %s: %v", l.Outer, err)
		}
	}
	return nil
}

// differenceProblem returns the first difference of a layer that names what is
// not there.
func (p *Pattern) differenceProblem(l Layer) (int, error) {
	outer, err := p.Piece(l.Outer)
	if err != nil {
		return 0, err
	}
	for k, diff := range l.Differences {
		if diff.Piece != "" && !slices.Contains(l.Inner, diff.Piece) {
			return k, fmt.Errorf("the difference %q is said of %s, which is none of its inner pieces", diff.What, diff.Piece)
		}
		if diff.Edge == "" {
			continue
		}
		if _, ok := outer.edgeNamed(diff.Edge); !ok {
			return k, fmt.Errorf("the difference %q is said at the edge %q, which it has not; its edges are %s", diff.What, diff.Edge, quoteList(outer.EdgeNames()))
		}
	}
	return 0, nil
}

// fail is what is wrong in pattern.yaml.
func (d *decoding) fail(at spot, format string, args ...any) error {
	return &FileError{File: PatternFile, Line: d.head.of(at), Reason: fmt.Sprintf(format, args...)}
}

// Encode prints every file of the pattern in canonical form. Pieces and edges
// without an id get one first.
func (p *Pattern) Encode() (map[string][]byte, error) { return new(Reader).Encode(p) }

// Encode is the method of that name of a pattern of which some pieces were
// printed before.
func (r *Reader) Encode(p *Pattern) (map[string][]byte, error) {
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
		if files[q.FileName()], err = r.encodePiece(q); err != nil {
			return nil, err
		}
	}
	for _, f := range p.Fittings {
		if f.ID == "" {
			f.ID = p.NewFittingID(f, "")
		}
		if files[f.FileName()], err = f.encode(); err != nil {
			return nil, err
		}
	}
	return files, nil
}

// DecodeHead reads pattern.yaml alone: name, unit, sets, tolerances, seams and
// layers, without the pieces that these name. The error is a *FileError.
func DecodeHead(text []byte) (*Pattern, error) {
	p, _, err := decodePattern(text)
	return p, err
}
