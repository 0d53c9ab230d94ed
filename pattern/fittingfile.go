package pattern

import (
	"fmt"
	"slices"
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
	t.Wearer = f.text("wearer")
	if m := f.get("measures"); m != nil {
		t.Measures = r.measures(m, f.what+": measures")
	}
	for i, item := range f.list("notes") {
		t.Notes = append(t.Notes, r.note(item, i, f.what))
	}
	r.takenAway(t, f)
	f.done()
	if r.err != nil {
		return nil, nil, r.err
	}
	if t.ID != "" && file != t.FileName() {
		r.fail(f.value["fitting"], "the file of %s with the id %s is %s; rename the file, or mend the number", f.what, t.ID, t.FileName())
	}
	return t, r.where, r.err
}

// measures reads millimetres by the name of what was measured.
func (r *reader) measures(n *yaml.Node, what string) map[string]float64 {
	f := r.mapping(n, what)
	all := map[string]float64{}
	for i := 0; r.err == nil && i+1 < len(n.Content); i += 2 {
		name := r.name(n.Content[i], what)
		if _, twice := all[name]; twice {
			r.fail(n.Content[i], "%s: %q stands twice", what, name)
		}
		if all[name] = r.number(f.value[n.Content[i].Value], what+": "+name); r.err == nil && all[name] <= 0 {
			r.fail(n.Content[i+1], "%s: %s is %s; a measure is more than 0", what, name, number(all[name]))
		}
	}
	if len(all) == 0 {
		return nil
	}
	return all
}

// takenAway reads the numbers of notes that were taken away, and holds that
// all numbers together are 1, 2, 3… and each stands once.
func (r *reader) takenAway(t *Fitting, f *fields) {
	for _, item := range f.list("taken_away") {
		k := r.integer(item, f.what+": taken_away")
		switch {
		case r.err != nil:
			return
		case len(t.TakenAway) > 0 && k <= t.TakenAway[len(t.TakenAway)-1]:
			r.fail(item, "%s: the notes taken away are listed in ascending order; here stands %d", f.what, k)
		case slices.ContainsFunc(t.Notes, func(n Note) bool { return n.Number == k }):
			r.fail(item, "%s: note %d is there and taken away; leave one out", f.what, k)
		}
		t.TakenAway = append(t.TakenAway, k)
	}
	numbers := map[int]bool{}
	for _, n := range t.Notes {
		numbers[n.Number] = true
	}
	for _, k := range t.TakenAway {
		numbers[k] = true
	}
	want := 1
	for i, item := range r.list(f.value["notes"], f.what) {
		for ; slices.Contains(t.TakenAway, want); want++ {
		}
		if r.err == nil && t.Notes[i].Number != want {
			r.fail(item, "%s: the notes are numbered 1, 2, 3…; here stands %d", f.what, t.Notes[i].Number)
		}
		want++
	}
	for k := range numbers {
		if r.err == nil && (k < 1 || k > len(numbers)) {
			r.fail(f.value["taken_away"], "%s: note %d was taken away, and the notes have no number before it", f.what, k)
		}
	}
}

func (r *reader) note(item *yaml.Node, index int, what string) Note {
	f := r.mapping(item, fmt.Sprintf("%s, note %d", what, index+1))
	n := Note{}
	if v := f.need("note"); v != nil {
		n.Number = r.integer(v, f.what)
	}
	n.Piece, n.Edge = f.optionalName("piece"), f.optionalName("edge")
	n.Place, n.OnToile = f.text("place"), f.flag("on_toile")
	if v := f.get("at"); v != nil {
		at := r.point(v, f.what+": at")
		n.At = &at
	}
	n.Seen, n.Pinned = f.needText("seen"), f.number("pinned_mm")
	r.readings(f, &n)
	n.Side = WearerSide(f.text("side"))
	switch n.Side {
	case "", WearerLeft, WearerRight, WearerBoth:
	default:
		r.fail(f.value["side"], "%s: side is %q; it is the wearer's %q, %q or %q", f.what, n.Side, WearerLeft, WearerRight, WearerBoth)
	}
	if n.Left != nil && n.Side != WearerBoth {
		r.fail(f.key["left_mm"], "%s: a reading of each side needs side: both", f.what)
	}
	n.ToDo, n.Answered = f.text("to_do"), f.integer("answered")
	for i, item := range f.list("again") {
		n.Again = append(n.Again, r.seenAgain(item, fmt.Sprintf("%s, seen again %d", f.what, i+1)))
	}
	f.done()
	return n
}

// readings reads what was pinned on either side: both or none.
func (r *reader) readings(f *fields, n *Note) {
	left, right := f.get("left_mm"), f.get("right_mm")
	n.Pinch, n.PinchSide = f.flag("pinch"), WearerSide(f.text("pinch_side"))
	switch {
	case n.PinchSide == "":
	case n.PinchSide != WearerLeft && n.PinchSide != WearerRight:
		r.fail(f.value["pinch_side"], "%s: pinch_side is %q; it is the wearer's %q or %q", f.what, n.PinchSide, WearerLeft, WearerRight)
	case !n.Pinch || left == nil:
		r.fail(f.key["pinch_side"], "%s: pinch_side says which of two readings was read as a pinch; it needs pinch: true, left_mm and right_mm", f.what)
	}
	switch {
	case left == nil && right == nil:
	case left == nil || right == nil:
		r.fail(f.node, "%s: left_mm and right_mm are written together; with one side alone write pinned_mm and the side", f.what)
	default:
		l, q := r.number(left, f.what+": left_mm"), r.number(right, f.what+": right_mm")
		n.Left, n.Right = &l, &q
	}
}

func (r *reader) seenAgain(item *yaml.Node, what string) SeenAgain {
	f := r.mapping(item, what)
	s := SeenAgain{}
	for _, k := range []struct {
		name string
		to   *int
	}{{"fitting", &s.Fitting}, {"after", &s.After}} {
		if v := f.need(k.name); v != nil {
			if *k.to = r.integer(v, what+": "+k.name); r.err == nil && *k.to < 1 {
				r.fail(v, "%s: %s is a number from 1", what, k.name)
			}
		}
	}
	s.Seen = f.text("seen")
	f.done()
	return s
}

func (f *Fitting) encode() ([]byte, error) {
	return printed(newKeys(false).put("fitting", intNode(f.Number)).text("id", f.ID).text("date", f.Date).
		text("cloth", f.Cloth).text("worn", f.Worn).text("closures", f.Closures).integer("version", f.Version).
		text("wearer", f.Wearer).put("measures", allowanceNode(f.Measures)).
		list("notes", encoded(f.Notes)).put("taken_away", intList(f.TakenAway)).node)
}

// intList is a list of whole numbers in one line; nil for none.
func intList(all []int) *yaml.Node {
	if len(all) == 0 {
		return nil
	}
	n := flowList()
	for _, v := range all {
		n.Content = append(n.Content, intNode(v))
	}
	return n
}

func (n Note) encode() *yaml.Node {
	k := newKeys(false).put("note", intNode(n.Number)).text("piece", n.Piece).text("edge", n.Edge).
		text("place", n.Place).flag("on_toile", n.OnToile)
	if n.At != nil {
		k.put("at", pointNode(*n.At))
	}
	k.put("seen", textNode(n.Seen)).number("pinned_mm", n.Pinned)
	if n.Left != nil && n.Right != nil {
		k.put("left_mm", numberNode(*n.Left)).put("right_mm", numberNode(*n.Right))
	}
	return k.flag("pinch", n.Pinch).text("pinch_side", string(n.PinchSide)).text("side", string(n.Side)).
		text("to_do", n.ToDo).integer("answered", n.Answered).list("again", encoded(n.Again)).node
}

func (s SeenAgain) encode() *yaml.Node {
	return newKeys(true).put("fitting", intNode(s.Fitting)).put("after", intNode(s.After)).text("seen", s.Seen).node
}

// DecodeFitting reads one fitting's file by itself. The error is a *FileError.
func DecodeFitting(file string, text []byte) (*Fitting, error) {
	f, _, err := decodeFitting(file, text)
	return f, err
}
