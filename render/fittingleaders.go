package render

import (
	"math"
	"sort"

	"toile/geom"
)

// leaderBoard sets numbers into two columns beside a drawing and leads a
// straight line from each to its place, so that no two lines cross: the numbers
// stand apart in the columns, the lines stay between these.
//
// Places are divided by x, so that lines to the left and to the right never
// meet. Within a column the numbers start in order of y; while two lines cross,
// their ends are exchanged. Each exchange makes the sum of the lengths smaller,
// so that it ends (the sides of a quadrilateral against its diagonals).
type leaderBoard struct {
	box   geom.Box  // between the columns
	pitch float64   // mm from one number to the next in a column, at least
	dot   float64   // radius in mm of what is drawn at a place
	lines []segment // the outline, along which no leader is to run
}

// port is where a leader ends: at the inner side of a column.
type port struct {
	at    geom.Point
	right bool
}

// room is how many numbers the two columns take.
func (b leaderBoard) room() int { return 2 * b.column() }

func (b leaderBoard) column() int {
	return int(math.Max(1, math.Floor(b.box.Size().Y/b.pitch)))
}

// ports returns one for each site, in their order. There may be no more sites
// than room.
func (b leaderBoard) ports(sites []geom.Point) []port {
	order := make([]int, len(sites))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool { return sites[order[i]].X < sites[order[j]].X })
	middle := b.box.Centre().X
	left := sort.Search(len(order), func(i int) bool { return sites[order[i]].X > middle })
	left = min(max(left, len(order)-b.column()), b.column())
	out := make([]port, len(sites))
	b.side(sites, order[:left], b.box.Min.X, false, out)
	b.side(sites, order[left:], b.box.Max.X, true, out)
	return out
}

// side gives the sites of one column their ports.
func (b leaderBoard) side(sites []geom.Point, of []int, x float64, right bool, out []port) {
	of = append([]int(nil), of...)
	sort.SliceStable(of, func(i, j int) bool { return sites[of[i]].Y < sites[of[j]].Y })
	want := make([]float64, len(of))
	for i, k := range of {
		want[i] = sites[k].Y
	}
	ys := spreadOut(want, b.box.Min.Y+b.pitch/2, b.box.Max.Y-b.pitch/2, b.pitch)
	for i, k := range of {
		out[k] = port{geom.Pt(x, ys[i]), right}
	}
	for b.exchange(sites, of, out) {
	}
	b.avoid(sites, of, out)
}

// spreadOut moves values, in ascending order, as little as it can while they
// keep a distance and stay between two bounds: first down where they crowd,
// then up again from the far bound.
func spreadOut(want []float64, low, high, apart float64) []float64 {
	out := append([]float64(nil), want...)
	for i := range out {
		if out[i] = math.Max(out[i], low); i > 0 {
			out[i] = math.Max(out[i], out[i-1]+apart)
		}
	}
	for i := len(out) - 1; i >= 0; i-- {
		limit := high
		if i+1 < len(out) {
			limit = out[i+1] - apart
		}
		out[i] = math.Min(out[i], limit)
	}
	return out
}

// exchange swaps the ports of the first two leaders that cross.
func (b leaderBoard) exchange(sites []geom.Point, of []int, out []port) bool {
	const least = 1e-9 // mm that an exchange has to save, so that it ends
	for i, k := range of {
		for _, l := range of[i+1:] {
			if !crosses(segment{sites[k], out[k].at}, segment{sites[l], out[l].at}) {
				continue
			}
			was := sites[k].Dist(out[k].at) + sites[l].Dist(out[l].at)
			if sites[k].Dist(out[l].at)+sites[l].Dist(out[k].at) < was-least {
				out[k], out[l] = out[l], out[k]
				return true
			}
		}
	}
	return false
}

// avoid moves the ends of leaders that run through another place's dot or along
// the outline, by steps of an eighth of the pitch, where that crosses nothing.
func (b leaderBoard) avoid(sites []geom.Point, of []int, out []port) {
	for _, k := range of {
		if !b.hits(sites, of, k, out[k].at) {
			continue
		}
		was := out[k].at
		for step := 1; step <= 8*b.column(); step++ {
			moved := false
			for _, by := range []float64{float64(step), -float64(step)} {
				at := geom.Pt(was.X, was.Y+by*b.pitch/8)
				if moved = b.free(sites, of, out, k, at); moved {
					out[k].at = at
					break
				}
			}
			if moved {
				break
			}
		}
	}
}

// hits reports whether the leader of site k to a port runs through the dot of
// another site, or along the outline.
func (b leaderBoard) hits(sites []geom.Point, of []int, k int, to geom.Point) bool {
	leader := geom.Path{geom.Line(sites[k], to)}
	for _, l := range of {
		if sites[l].Dist(sites[k]) < 2*b.dot {
			continue // the dots themselves touch
		}
		if _, d := leader.Nearest(sites[l]); d < b.dot {
			return true
		}
	}
	return b.along(segment{sites[k], to}) > 4*b.dot
}

// along is over how many mm a leader lies within a dot's radius of lines of the
// outline that run nearly as it does, within 4°.
func (b leaderBoard) along(leader segment) (sum float64) {
	const nearly = 0.07 // sine of 4°
	way := leader.b.Sub(leader.a)
	long := way.Len()
	if long == 0 {
		return 0
	}
	way = way.Mul(1 / long)
	for _, s := range b.lines {
		run := s.b.Sub(s.a)
		if math.Abs(way.Cross(run)) > nearly*run.Len() || math.Abs(way.Cross(s.a.Lerp(s.b, 0.5).Sub(leader.a))) > b.dot+nearly*run.Len()/2 {
			continue
		}
		from, to := way.Dot(s.a.Sub(leader.a)), way.Dot(s.b.Sub(leader.a))
		sum += math.Max(0, math.Min(math.Max(from, to), long)-math.Max(math.Min(from, to), 0))
	}
	return sum
}

// free reports whether site k may have its port there.
func (b leaderBoard) free(sites []geom.Point, of []int, out []port, k int, at geom.Point) bool {
	if at.Y < b.box.Min.Y+b.pitch/2 || at.Y > b.box.Max.Y-b.pitch/2 || b.hits(sites, of, k, at) {
		return false
	}
	for _, l := range of {
		if l != k && (math.Abs(out[l].at.Y-at.Y) < b.pitch-1e-9 || crosses(segment{sites[k], at}, segment{sites[l], out[l].at})) {
			return false
		}
	}
	return true
}
