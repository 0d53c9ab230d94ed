package pattern

import (
	"fmt"
	"strconv"
	"time"

	"go.yaml.in/yaml/v4"
)

// dateForm is how a fitting's date is written.
const dateForm = "2006-01-02"

// decodeFitting reads a fitting's file, and says in which lines its keys
// stand.
func decodeFitting(file string, text []byte) (*Fitting, lines, error) {
	r, root := parseNode(file, text)
	if r.err != nil {
		return nil, nil, r.err
	}
	f := r.mapping(root, "fitting")
	r.where.add(PartPiece, 0, root.Line, f)
	t := &Fitting{}
	if n := f.need("fitting"); n != nil {
		if t.Number = r.integer(n, "fitting"); t.Number < 1 {
			r.fail(n, "a fitting's number is from 1")
		}
	}
	f.what = "fitting " + strconv.Itoa(t.Number)
	t.ID, t.Date = r.id(f, "id"), f.text("date")
	if _, err := time.Parse(dateForm, t.Date); err != nil && t.Date != "" {
		r.fail(f.value["date"], "%s: the date is %q; write it as 2026-05-14", f.what, t.Date)
	}
	t.Cloth, t.Worn, t.Closures = f.text("cloth"), f.text("worn"), f.text("closures")
	t.Version = f.integer("version")
	for i, item := range f.list("notes") {
		t.Notes = append(t.Notes, r.note(item, i, f.what))
	}
	f.done()
	if r.err != nil {
		return nil, nil, r.err
	}
	if t.ID != "" && file != t.FileName() {
		r.fail(f.value["fitting"], "the file of %s with the id %s is %s; rename the file, or mend the number", f.what, t.ID, t.FileName())
	}
	return t, r.where, r.err
}

func (r *reader) note(item *yaml.Node, index int, what string) Note {
	f := r.mapping(item, fmt.Sprintf("%s, note %d", what, index+1))
	n := Note{}
	if v := f.need("note"); v != nil {
		if n.Number = r.integer(v, f.what); n.Number != index+1 {
			r.fail(v, "%s: the notes are numbered 1, 2, 3…; here stands %d", what, n.Number)
		}
	}
	n.Piece, n.Edge = f.optionalName("piece"), f.optionalName("edge")
	if v := f.get("at"); v != nil {
		at := r.point(v, f.what+": at")
		n.At = &at
	}
	n.Seen, n.Pinned = f.needText("seen"), f.number("pinned_mm")
	n.Side = WearerSide(f.text("side"))
	switch n.Side {
	case "", WearerLeft, WearerRight, WearerBoth:
	default:
		r.fail(f.value["side"], "%s: side is %q; it is the wearer's %q, %q or %q", f.what, n.Side, WearerLeft, WearerRight, WearerBoth)
	}
	n.ToDo, n.Answered = f.text("to_do"), f.integer("answered")
	f.done()
	return n
}

func (f *Fitting) encode() ([]byte, error) {
	return printed(newKeys(false).put("fitting", intNode(f.Number)).text("id", f.ID).text("date", f.Date).
		text("cloth", f.Cloth).text("worn", f.Worn).text("closures", f.Closures).integer("version", f.Version).
		list("notes", encoded(f.Notes)).node)
}

func (n Note) encode() *yaml.Node {
	k := newKeys(false).put("note", intNode(n.Number)).text("piece", n.Piece).text("edge", n.Edge)
	if n.At != nil {
		k.put("at", pointNode(*n.At))
	}
	return k.put("seen", textNode(n.Seen)).number("pinned_mm", n.Pinned).text("side", string(n.Side)).
		text("to_do", n.ToDo).integer("answered", n.Answered).node
}
