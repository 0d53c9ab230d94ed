package alter

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"toile/geom"
	"toile/pattern"
)

// referenceLine is the kind of mark that is a line to measure from.
const referenceLine = "reference line"

var _ = register(&Kind{Name: "mark", Does: "marks a place: button, buttonhole, dot, slit, placement line, fold line, text, dart, pleat or reference line",
	Keys: []Key{
		{Name: "kind", What: Text, Needed: true, Typed: true, Means: "what it is, such as button or \"placement line\""},
		{Name: "at", What: Place, Typed: true, Means: "where: EDGE@LENGTH, a notch, X,Y, \"8cm from LINE, 12cm from LINE\", or a step from one of these, as in \"hip, 4cm in\"; of a dart its point"},
		{Name: "to", What: Place, Means: "where a line ends, or with --count the last of a row"},
		{Name: "name", What: Name, Means: "what it is called; without it the kind, with a number where that is taken"},
		{Name: "size", What: Length, Means: "a button's or a dot's diameter"},
		{Name: "length", What: Length, Means: "how long a buttonhole or a slit is, instead of --to"},
		{Name: "lie", What: Text, Means: "how it lies with --length: across the grain, or down"},
		{Name: "count", What: Text, Means: "how many in a row from AT to --to, evenly spaced"},
		{Name: "text", What: Text, Means: "what a text says"},
		{Name: "path", What: Drawn, Means: "a line as it was drawn, instead of AT and --to"},
		{Name: "edge", What: Edge, Means: "a dart's or pleat's edge"},
		{Name: "from", What: Along, Means: "where its mouth or intake begins along that edge"},
		{Name: "until", What: Along, Means: "where it ends"},
		{Name: "towards", What: End, Means: "the end of the edge that a pleat is laid towards: start or end, or the name of the edge at which it lies"},
		onToile,
	}, Typed: `front button "0 from centre front, 1.5cm from neckline" --size 2cm`, make: (*making).mark})

func (m *making) mark() error {
	kind := strings.ToLower(m.text("kind"))
	name, err := m.markName(kind)
	if err != nil {
		return err
	}
	marks := len(m.piece.Marks)
	switch k := pattern.MarkKind(kind); k {
	case pattern.MarkButton, pattern.MarkDot, pattern.MarkText:
		err = m.markPoints(k, name)
	case pattern.MarkButtonhole, pattern.MarkSlit, pattern.MarkPlacement, pattern.MarkFoldLine:
		err = m.markLines(k, name)
	case pattern.MarkDart, pattern.MarkPleat:
		err = m.markMouth(k, name)
	case referenceLine:
		var path geom.Path
		if path, err = m.markPath(geom.Point{}); err == nil {
			m.piece.Lines = append(m.piece.Lines, pattern.ReferenceLine{Name: name, Path: path})
		}
	default:
		return fmt.Errorf("%s: there is no mark %q; it is button, buttonhole, dot, slit, placement line, fold line, text, dart, pleat or reference line", m.piece.Name, m.text("kind"))
	}
	if err != nil {
		return err
	}
	if err := m.refuseFarOff(m.piece.Marks[marks:]); err != nil {
		return err
	}
	return begin(m.piece).finish()
}

// refuseFarOff refuses marks that lie farther off the piece than its widest
// allowance, and warns of those that lie on the allowance.
func (m *making) refuseFarOff(marks []pattern.Mark) error {
	ring, _ := m.piece.SharpRing()
	widest := 0.0
	for _, e := range m.piece.Edges {
		for _, v := range e.Allowance {
			widest = max(widest, v)
		}
	}
	for _, k := range marks {
		spots := []geom.Point{k.At}
		if len(k.Path) > 0 {
			spots = []geom.Point{k.Path.Start(), k.Path.PointAt(k.Path.Length() / 2), k.Path.End()}
		}
		for _, s := range spots {
			_, off := geom.Path(ring).Nearest(s)
			switch {
			case k.Kind == pattern.MarkPleat || ring.Holds(s) || off < 0.1:
			case off > widest+0.1:
				return fmt.Errorf("%s: the %s %q would lie %s off the piece, at %s across and %s down the sheet; give a place on it", m.piece.Name, k.Kind, k.Name, m.format(off), m.format(s.X), m.format(s.Y))
			default:
				m.say("%s: the %s %q lies %s outside of the sewing line, on the allowance", m.piece.Name, k.Kind, k.Name, m.format(off))
			}
		}
	}
	return nil
}

// markName reads the name, or makes one of the kind.
func (m *making) markName(kind string) (string, error) {
	if !m.has("name") {
		return m.freeMark(kind), nil
	}
	name, err := m.newName("name")
	if err != nil {
		return "", err
	}
	if m.markTaken(name) {
		return "", fmt.Errorf("%s has a mark %q already; choose another name, remove that one first, or move it with alter move", m.piece.Name, name)
	}
	return name, nil
}

func (m *making) markTaken(name string) bool {
	return slices.ContainsFunc(m.piece.Marks, func(k pattern.Mark) bool { return k.Name == name }) ||
		slices.ContainsFunc(m.piece.Lines, func(l pattern.ReferenceLine) bool { return l.Name == name })
}

func (m *making) freeMark(name string) string {
	try := name
	for k := 2; m.markTaken(try); k++ {
		try = fmt.Sprintf("%s %d", name, k)
	}
	return try
}

// row lists the places of the marks: one, or as many as --count says.
func (m *making) row() ([]geom.Point, error) {
	if !m.has("at") {
		return nil, fmt.Errorf("%s: say where the %s is", m.piece.Name, m.text("kind"))
	}
	at, err := m.spot(m.text("at"))
	if err != nil {
		return nil, err
	}
	if !m.has("count") {
		return []geom.Point{rounded(at)}, nil
	}
	const most = 200
	n, err := strconv.Atoi(m.text("count"))
	if err != nil || n < 2 || n > most {
		return nil, fmt.Errorf("count: %q is no number of marks in a row; give 2 to %d", m.text("count"), most)
	}
	if !m.has("to") {
		return nil, fmt.Errorf("%s: a row of %d needs its last place; give it with --to", m.piece.Name, n)
	}
	to, err := m.spot(m.text("to"))
	if err != nil {
		return nil, err
	}
	var all []geom.Point
	for k := range n {
		all = append(all, rounded(at.Lerp(to, float64(k)/float64(n-1))))
	}
	m.say("%d in a row, %s apart", n, m.format(at.Dist(to)/float64(n-1)))
	return all, nil
}

// rowName names the k-th of a row.
func (m *making) rowName(name string, k, n int) (string, error) {
	if n == 1 {
		return name, nil
	}
	name = fmt.Sprintf("%s %d", name, k+1)
	if m.markTaken(name) {
		return "", fmt.Errorf("%s has a mark %q already; give the row another --name", m.piece.Name, name)
	}
	return name, nil
}

func (m *making) markPoints(kind pattern.MarkKind, name string) error {
	places, err := m.row()
	if err != nil {
		return err
	}
	mark := pattern.Mark{Kind: kind, Text: m.text("text")}
	if kind == pattern.MarkText && mark.Text == "" {
		return fmt.Errorf("%s: say what the text says, with --text", m.piece.Name)
	}
	if m.has("size") {
		if mark.Size, err = m.positive("size"); err != nil {
			return err
		}
	}
	for k, at := range places {
		mark.At = at
		if mark.Name, err = m.rowName(name, k, len(places)); err != nil {
			return err
		}
		m.piece.Marks = append(m.piece.Marks, mark)
	}
	return nil
}

func (m *making) markLines(kind pattern.MarkKind, name string) error {
	places := []geom.Point{{}}
	if m.has("count") {
		var err error
		if places, err = m.row(); err != nil {
			return err
		}
		if !m.has("length") {
			return fmt.Errorf("%s: say with --length how long each %s is", m.piece.Name, kind)
		}
	}
	for k, at := range places {
		path, err := m.markPath(at)
		if err != nil {
			return err
		}
		called, err := m.rowName(name, k, len(places))
		if err != nil {
			return err
		}
		m.piece.Marks = append(m.piece.Marks, pattern.Mark{Kind: kind, Name: called, Path: path})
	}
	return nil
}

// markPath is the line of a mark: as drawn, from place to place, or from a
// place by a length. In a row the place is given.
func (m *making) markPath(at geom.Point) (geom.Path, error) {
	if m.has("path") {
		path, _, err := m.drawn("path")
		return path, err
	}
	inRow := m.has("count")
	if !inRow {
		places, err := m.row()
		if err != nil {
			return nil, err
		}
		at = places[0]
	}
	if m.has("to") && !inRow {
		if m.has("length") {
			return nil, fmt.Errorf("%s: give --to or --length, not both", m.piece.Name)
		}
		to, err := m.spot(m.text("to"))
		return geom.Polyline(at, rounded(to)), err
	}
	if !m.has("length") {
		return nil, fmt.Errorf("%s: say where the %s ends, with --to, or with --length and --lie", m.piece.Name, m.text("kind"))
	}
	length, err := m.length("length")
	if err != nil {
		return nil, err
	}
	dir := m.piece.GrainDirection()
	switch m.text("lie") {
	case "down":
	case "across", "":
		dir = dir.Left() // to the right on a sheet whose grain runs down
	default:
		return nil, fmt.Errorf("lie: %q is no way to lie; it is across or down", m.text("lie"))
	}
	return geom.Polyline(at, rounded(at.Add(dir.Mul(length)))), nil
}

// markMouth marks a dart or a pleat.
func (m *making) markMouth(kind pattern.MarkKind, name string) error {
	if !m.has("edge") || !m.has("from") || !m.has("until") {
		return fmt.Errorf("%s: a %s takes --edge, --from and --until: where along which edge it begins and ends", m.piece.Name, kind)
	}
	i, err := m.edge("edge")
	if err != nil {
		return err
	}
	from, err := m.along("from", i, false)
	if err != nil {
		return err
	}
	until, err := m.along("until", i, false)
	if err != nil {
		return err
	}
	mark := pattern.Mark{Kind: kind, Name: name, Edge: m.piece.Edges[i].Name, From: roundTo(min(from, until)), To: roundTo(max(from, until))}
	for _, o := range m.piece.Marks {
		if (o.Kind == pattern.MarkDart || o.Kind == pattern.MarkPleat) && o.Edge == mark.Edge && o.From < mark.To-0.001 && mark.From < o.To-0.001 {
			return fmt.Errorf("%s, %q: a %s from %s to %s overlaps the %s %q, which takes %s to %s; begin it behind that or end it before",
				m.piece.Name, mark.Edge, kind, m.format(mark.From), m.format(mark.To), o.Kind, o.Name, m.format(o.From), m.format(o.To))
		}
	}
	if kind == pattern.MarkPleat {
		if mark.Direction, err = m.towards(i); err != nil {
			return err
		}
	} else {
		places, err := m.row()
		if err != nil {
			return err
		}
		mark.At = places[0]
	}
	m.piece.Marks = append(m.piece.Marks, mark)
	return nil
}

// towards is the end of edge i that a pleat is laid towards: start or end.
func (m *making) towards(i int) (string, error) {
	text := m.text("towards")
	if text == "" {
		return "end", nil
	}
	if atEnd, ok := m.piece.EndNamed(i, text); ok {
		return map[bool]string{false: "start", true: "end"}[atEnd], nil
	}
	n := len(m.piece.Edges)
	return "", fmt.Errorf("%s, %q: towards: %q is no end of it; it is start, which lies at %q, or end, at %q",
		m.piece.Name, m.piece.Edges[i].Name, text, m.piece.Edges[(i+n-1)%n].Name, m.piece.Edges[(i+1)%n].Name)
}
