package demo

import (
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// Measures of the smock in mm.
const (
	yokeSeam      = 215.0 // half the back at the yoke
	pleatIntake   = 40.0  // folded out of the back below the yoke
	shoulderRun   = 135.0
	shoulderDrop  = 45.0
	panelRun      = 11.0 // how far a panel seam slants out
	panelFall     = 440.0
	underarmWidth = 120.0
	buttonStand   = 20.0
	facingWidths  = "70mm,60mm" // at the front edge, button stand included, and at the neckline
	hemTurned     = 20.0        // of a hem: more does not lie flat on the flared panel
	headEase      = 18.0        // by which the sleeve head is longer than the armhole
)

// side is one named edge under way: its path and what is set on it.
type side struct {
	name  string
	path  geom.Path
	fold  bool
	hem   bool
	cloth float64 // allowance in mm
}

func straight(name string, from, to geom.Point) side {
	return side{name: name, path: geom.Path{geom.Line(from, to)}, cloth: 10}
}

func curved(name string, c geom.Cubic) side { return side{name: name, path: geom.Path{c}, cloth: 10} }

func (s side) onFold() side { s.fold, s.cloth = true, 0; return s }

func (s side) hemmed(by float64) side { s.hem, s.cloth = true, by; return s }

// piece puts sides together; each must start where the one before ends.
func piece(name, cloth string, cut pattern.Cut, sides ...side) *pattern.Piece {
	p := &pattern.Piece{Name: name, Cloth: cloth, Cut: cut}
	for _, s := range sides {
		p.Corners = append(p.Corners, pattern.Corner{At: s.path.Start()})
		e := pattern.Edge{Name: s.name, Fold: s.fold, Hem: s.hem}
		if s.cloth > 0 {
			e.Allowance = map[string]float64{pattern.ClothSet: s.cloth, pattern.ToileSet: max(15, s.cloth)}
		}
		e.SetPath(s.path)
		p.Edges = append(p.Edges, e)
	}
	return p
}

// grainDown draws the grain line straight down the sheet.
func grainDown(p *pattern.Piece, x, from, to float64) *pattern.Piece {
	p.Grain = &pattern.Grain{From: geom.Pt(x, from), To: geom.Pt(x, to)}
	return p
}

// Curves that several pieces share. Neckline and armhole meet the shoulder
// square on front and yoke, and run on into the underarm at 120° and 60°, so
// that both are smooth with the pieces laid together.
var (
	frontNeck = geom.Cubic{P0: geom.Pt(-buttonStand, 85), P1: geom.Pt(38, 85), P2: geom.Pt(61, 51), P3: geom.Pt(78, 0)}
	frontArm  = geom.Cubic{P0: geom.Pt(213, 45), P1: geom.Pt(192, 108), P2: geom.Pt(145, 237), P3: geom.Pt(190, 260)}
)

const frontHem = 260 + panelFall

func back() *pattern.Piece {
	right := yokeSeam + pleatIntake
	arm := geom.Cubic{P0: geom.Pt(panelRun, 130), P1: geom.Pt(panelRun+45, 107), P2: geom.Pt(4, 42), P3: geom.Pt(0, 0)}
	p := piece("back", "outer", pattern.CutOnFold,
		straight("yoke seam", geom.Pt(0, 0), geom.Pt(right, 0)),
		straight("centre back", geom.Pt(right, 0), geom.Pt(right, 130+panelFall)).onFold(),
		straight("hemline", geom.Pt(right, 130+panelFall), geom.Pt(0, 130+panelFall)).hemmed(hemTurned),
		straight("panel seam", geom.Pt(0, 130+panelFall), geom.Pt(panelRun, 130)),
		curved("armhole", arm))
	p.Notches = []pattern.Notch{
		{Name: "back notch", Edge: "armhole", At: 60, Count: 2},
		{Name: "hip", Edge: "panel seam", At: 240, Count: 1},
	}
	p.Marks = []pattern.Mark{{Kind: pattern.MarkPleat, Name: "back pleat", Edge: "yoke seam", From: 150, To: 150 + pleatIntake, Direction: "end"}}
	return grainDown(p, 180, 160, 480)
}

func front() *pattern.Piece {
	p := piece("front", "outer", pattern.CutPair,
		curved("neckline", frontNeck),
		straight("shoulder", geom.Pt(78, 0), geom.Pt(78+shoulderRun, shoulderDrop)),
		curved("armhole", frontArm),
		straight("panel seam", geom.Pt(190, 260), geom.Pt(190+panelRun, frontHem)),
		straight("hemline", geom.Pt(190+panelRun, frontHem), geom.Pt(-buttonStand, frontHem)).hemmed(hemTurned),
		straight("front edge", geom.Pt(-buttonStand, frontHem), geom.Pt(-buttonStand, 85)))
	p.Notches = []pattern.Notch{
		{Name: "front notch", Edge: "armhole", At: 130, Count: 1},
		{Name: "hip", Edge: "panel seam", At: 200, Count: 1},
	}
	p.Lines = []pattern.ReferenceLine{{Name: "centre front", Path: geom.Polyline(geom.Pt(0, 85), geom.Pt(0, frontHem))}}
	for i := range 5 {
		p.Marks = append(p.Marks, pattern.Mark{Kind: pattern.MarkButton, Name: fmt.Sprintf("button %d", i+1), At: geom.Pt(0, 100+110*float64(i)), Size: 20})
	}
	p.Marks = append(p.Marks, pattern.Mark{Kind: pattern.MarkPlacement, Name: "pocket top", Path: geom.Polyline(geom.Pt(30, 430), geom.Pt(190, 430))})
	return grainDown(p, 100, 200, 600)
}

func sidePanel() *pattern.Piece {
	top := geom.Cubic{P0: geom.Pt(0, 0), P1: geom.Pt(30, 17), P2: geom.Pt(underarmWidth-30, 17), P3: geom.Pt(underarmWidth, 0)}
	w := underarmWidth + panelRun
	p := piece("side panel", "outer", pattern.CutPair,
		curved("underarm", top),
		straight("back seam", geom.Pt(underarmWidth, 0), geom.Pt(w, panelFall)),
		straight("hemline", geom.Pt(w, panelFall), geom.Pt(-panelRun, panelFall)).hemmed(hemTurned),
		straight("front seam", geom.Pt(-panelRun, panelFall), geom.Pt(0, 0)))
	length := p.EdgePath(1).Length()
	p.Notches = []pattern.Notch{
		{Name: "hip back", Edge: "back seam", At: length - 240, Count: 1},
		{Name: "hip front", Edge: "front seam", At: length - 200, Count: 1},
	}
	return grainDown(p, 60, 80, 380)
}

func yoke() *pattern.Piece {
	neck := geom.Cubic{P0: geom.Pt(135, 0), P1: geom.Pt(141, 18), P2: geom.Pt(178, 25), P3: geom.Pt(yokeSeam, 25)}
	p := piece("yoke", "outer", pattern.CutOnFold,
		straight("shoulder", geom.Pt(0, shoulderDrop), geom.Pt(shoulderRun, 0)),
		curved("neckline", neck),
		straight("centre back", geom.Pt(yokeSeam, 25), geom.Pt(yokeSeam, 150)).onFold(),
		straight("back seam", geom.Pt(yokeSeam, 150), geom.Pt(0, 150)),
		curved("armhole", geom.Cubic{P0: geom.Pt(0, 150), P1: geom.Pt(-3, 115), P2: geom.Pt(12, 81), P3: geom.Pt(0, shoulderDrop)}))
	return grainDown(p, 170, 50, 140)
}

// sleeve drafts the sleeve so that its head is longer than the armhole by the
// ease-in: the head's height is found by halving.
func sleeve(armhole float64) *pattern.Piece {
	const half, length, wrist = 190.0, 520.0, 120.0
	head := func(rise float64) geom.Path {
		return geom.Path{
			{P0: geom.Pt(-half, 0), P1: geom.Pt(-half+85, -10), P2: geom.Pt(-95, -rise), P3: geom.Pt(0, -rise)},
			{P0: geom.Pt(0, -rise), P1: geom.Pt(90, -rise), P2: geom.Pt(half-95, -10), P3: geom.Pt(half, 0)},
		}
	}
	lo, hi := 40.0, 320.0
	for range 60 {
		mid := (lo + hi) / 2
		if head(mid).Length() < armhole+headEase {
			lo = mid
		} else {
			hi = mid
		}
	}
	p := piece("sleeve", "outer", pattern.CutPair,
		side{name: "head", path: head(math.Round(lo*1000) / 1000), cloth: 10},
		straight("back underarm seam", geom.Pt(half, 0), geom.Pt(wrist, length)),
		straight("wrist", geom.Pt(wrist, length), geom.Pt(-wrist, length)),
		straight("front underarm seam", geom.Pt(-wrist, length), geom.Pt(-half, 0)))
	return grainDown(p, 0, 40, 460)
}

func cuff() *pattern.Piece {
	return grainDown(piece("cuff", "outer", pattern.CutPair,
		straight("sleeve seam", geom.Pt(0, 0), geom.Pt(240, 0)),
		straight("back end", geom.Pt(240, 0), geom.Pt(240, 70)),
		straight("lower edge", geom.Pt(240, 70), geom.Pt(0, 70)),
		straight("front end", geom.Pt(0, 70), geom.Pt(0, 0))), 120, 10, 60)
}

func pocket() *pattern.Piece {
	return grainDown(piece("pocket", "outer", pattern.CutPair,
		straight("opening", geom.Pt(0, 0), geom.Pt(160, 0)).hemmed(30),
		straight("side edge", geom.Pt(160, 0), geom.Pt(160, 190)),
		straight("lower edge", geom.Pt(160, 190), geom.Pt(0, 190)),
		straight("inner edge", geom.Pt(0, 190), geom.Pt(0, 0))), 80, 25, 165)
}

// layFront drafts the front's facing, along front edge and neckline, and the
// lining that is sewn to it, with a shorter hem.
func layFront(p *draft) error {
	if err := altered(p, "facing", "front", "edges", "front edge,neckline", "width", facingWidths, "round", "60mm", "as", "front facing"); err != nil {
		return err
	}
	return altered(p, "lining", "front", "facing", "front facing", "as", "front lining", "differs", "shorter hem@hemline=-20mm")
}

// smock is the pattern as first drafted.
func smock() (*draft, error) {
	p := pattern.New("Orchard smock", units.Centimetre)
	for _, q := range []*pattern.Piece{back(), front(), sidePanel(), yoke(), cuff(), pocket()} {
		q.Slug = p.NewSlug(q.Name)
		p.Put(q)
	}
	armhole, err := armholeLength(p)
	if err != nil {
		return nil, err
	}
	s := sleeve(armhole)
	s.Slug = p.NewSlug(s.Name)
	p.Put(s)
	if err := sewTogether(p); err != nil {
		return nil, err
	}
	d := &draft{Pattern: p}
	return d, layFront(d)
}

func chain(p *pattern.Pattern, text string) pattern.Chain {
	c, err := p.ParseChain(text)
	if err != nil {
		panic(err) // the draft names its own pieces and edges
	}
	return c
}

// armhole is the chain from the middle of the underarm round to it again.
func armhole(p *pattern.Pattern) pattern.Chain {
	c := chain(p, "side panel/underarm+back/armhole+yoke/armhole+front/armhole+side panel/underarm")
	panel, _ := p.Piece("side panel")
	middle := math.Round(panel.EdgePath(0).Length()*500) / 1000
	c[0].From, c[4].To = middle, middle
	return c
}

func armholeLength(p *pattern.Pattern) (float64, error) {
	c := armhole(p)
	sections, err := p.WalkSeam(&pattern.Seam{Name: "armhole", First: c, Second: c})
	if err != nil {
		return 0, err
	}
	return sections[0].First, nil
}

// sewTogether records the seams and layers, and sets the sleeve's notches
// where the armhole's meet them.
func sewTogether(p *pattern.Pattern) error {
	pairs := [][3]string{
		{"back yoke seam", "back/yoke seam", "yoke/back seam"},
		{"shoulder", "front/shoulder", "yoke/shoulder"},
		{"front panel seam", "front/panel seam", "side panel/front seam"},
		{"back panel seam", "back/panel seam", "side panel/back seam"},
		{"sleeve underarm", "sleeve/back underarm seam", "sleeve/front underarm seam"},
		{"cuff seam", "sleeve/wrist", "cuff/sleeve seam"},
	}
	for _, s := range pairs {
		p.Seams = append(p.Seams, pattern.Seam{Name: s[0], First: chain(p, s[1]), Second: chain(p, s[2])})
	}
	if err := setSleeve(p); err != nil {
		return err
	}
	for i := range p.Seams {
		if err := p.ValidateSeam(&p.Seams[i]); err != nil {
			return err
		}
	}
	return nil
}

// setSleeve puts notches on the sleeve head: below them both lengths agree to
// the armhole's, and all the ease lies over the top between them.
func setSleeve(p *pattern.Pattern) error {
	first := armhole(p)
	refs := [2]pattern.NotchRef{{Piece: "back", Notch: "back notch"}, {Piece: "front", Notch: "front notch"}}
	probe := pattern.Seam{Name: "armhole", First: first, Second: first, SameWay: true,
		Sections: []pattern.Section{{First: refs[0], Second: refs[0]}, {First: refs[1], Second: refs[1]}, {}}}
	walked, err := p.WalkSeam(&probe)
	if err != nil {
		return err
	}
	s, err := p.Piece("sleeve")
	if err != nil {
		return err
	}
	round := func(v float64) float64 { return math.Round(v*1000) / 1000 }
	s.Notches = []pattern.Notch{
		{Name: "back notch", Edge: "head", At: round(walked[0].First), FromEnd: true, Count: 2},
		{Name: "front notch", Edge: "head", At: round(walked[2].First), Count: 1},
	}
	seam := pattern.Seam{Name: "armhole", First: first, Second: chain(p, "sleeve/head")}
	seam.Sections = []pattern.Section{
		{First: refs[0], Second: pattern.NotchRef{Piece: "sleeve", Notch: "back notch"}},
		{First: refs[1], Second: pattern.NotchRef{Piece: "sleeve", Notch: "front notch"}, Ease: headEase},
		{},
	}
	p.Seams = append(p.Seams, seam)
	return nil
}
