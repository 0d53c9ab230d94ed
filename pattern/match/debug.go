package match

import (
	"fmt"
	"os"
)

func (s *settler) debug(what string) {
	if os.Getenv("SETTLE") == "" {
		return
	}
	fmt.Printf("SETTLE %s sigma %.3f together %.1f corners %v of %v\n", what, s.Sigma, s.together, s.Corners, s.Of)
	for j, e := range s.edges {
		k := e.old
		if k < 0 {
			fmt.Printf("  new %d of none: %.1f..%.1f\n", j, e.from, e.to)
			continue
		}
		x := newScatter(s.Old[k], e.points)
		line := fmt.Sprintf("  new %d (%d curves, %.1f mm, %d points) of %d (%.1f mm): chosen %d (%.1f); kept %.1f far %.2f; drawn %.1f;", j, len(e.drawn), e.to-e.from, len(e.points), k, s.Old[k].Length(), e.model.kind, e.model.score, s.chi(x.out), x.farthest(), s.asDrawn(&e).score)
		for _, m := range s.motions(k, x) {
			if m.score < 300 {
				line += fmt.Sprintf(" %d:%.1f(at %.1f turn %.4f)", m.kind, m.score, m.at, m.turn)
			}
		}
		fmt.Println(line)
	}
}

func debugOut(out []Settled) {
	if os.Getenv("SETTLE") == "" {
		return
	}
	for _, e := range out {
		fmt.Printf("PATH %d made %v %v\n", e.Old, e.Made, e.Path)
	}
}
