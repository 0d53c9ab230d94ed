package diff_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Generated cases that were told wrongly once, as stored and some of them
// scrambled too.
func TestCasesMended(t *testing.T) {
	for _, c := range []struct {
		what    string
		suite   suite
		numbers []int
		runs    []string
	}{
		{"a hem of a circle skirt that slides along itself at the side", exactSuite, []int{198}, runs},
		{"a hem eased on over a short way, divided elsewhere", exactSuite, []int{1822}, runs},
		{"an edge run on and swung about its old corner", severalSuite, []int{65, 86, 188, 351}, runs[:1]},
		{"an edge cut and swung about its other end, too bent for a taper", severalSuite, []int{119, 819, 999}, runs[:1]},
		{"an edge redrawn nearly along the grain", severalSuite, []int{201}, runs},
		{"a hem shifted between corners rounded and restored", severalSuite, []int{595}, runs},
	} {
		for _, number := range c.numbers {
			rng := c.suite.rng(number)
			_, shape, m := c.suite.make(rng, number)
			for _, run := range runs {
				st := m.patterns(rng, run == "scrambled")
				if run == "scrambled" && len(c.runs) == 1 {
					continue
				}
				v, _ := judge(m, st, run == "scrambled", exactly)
				assert.Empty(t, v.reasons, fmt.Sprintf("%s: %s case %d, a %s, %s", c.what, c.suite.name, number, shape, run))
			}
		}
	}
}
