package main

import (
	"flag"
	"math/rand/v2"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"toile/pattern"
)

// commandAdvised matches a whole command in what is printed: in backticks, or to
// the end of the line after a colon.
var commandAdvised = regexp.MustCompile("`toile ([^`]+)`|: toile ([^`\n]+)")

// advisedIn are the alterations that a text advises with all that they need, and what
// it says may be said of edges, seams and layers, each as its arguments. A command of
// which the maker has to supply a part names the kind alone, or has an ellipsis.
func advisedIn(text string) [][]string {
	var all [][]string
	for _, m := range commandAdvised.FindAllStringSubmatch(text, -1) {
		args := shellWords(m[1] + m[2])
		made := []string{"alter", "edge", "seam", "layers"}
		if len(args) > 2 && slices.Contains(made, args[0]) && !slices.ContainsFunc(args, supplied) {
			all = append(all, args)
		}
	}
	return all
}

// supplied reports whether the maker has to put something in the place of a word.
func supplied(word string) bool {
	return strings.Contains(word, "…") || strings.Contains(word, "FROM:TO") || strings.HasSuffix(word, "/EDGE") || strings.HasSuffix(word, "=L")
}

// shellWords splits a command as a shell does, double quotes alone.
func shellWords(text string) []string {
	var words []string
	for _, m := range regexp.MustCompile(`"([^"]*)"|([^\s"]+)`).FindAllStringSubmatch(text, -1) {
		words = append(words, m[1]+m[2])
	}
	return words
}

var everyAdvice = flag.Bool("every-advice", false, "make every alteration of the smock, and all that is then advised")

// Every alteration of an edge of the orchard smock that is sewn, or of a hem, by
// itself: whatever command alter and check then advise, and the refusals of
// carry, can be made. Some of them at random; all with -every-advice.
func TestWhatIsAdvisedCanBeMade(t *testing.T) {
	root := filepath.Join(t.TempDir(), "d")
	w := &worktable{t, filepath.Join(root, "orchard-smock")}
	var out strings.Builder
	require.Zero(t, run([]string{"demo", root}, &out, &out), out.String())
	p := w.pattern()
	all := onSewnEdges(p)
	if !*everyAdvice {
		seed := uint64(time.Now().UnixNano())
		t.Logf("seed %d", seed)
		rand.New(rand.NewPCG(seed, 8)).Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
		some := 10
		if demandAll() {
			some = 30
		}
		all = all[:some]
	}
	made, advised := 0, 0
	for _, args := range all {
		said, code := w.try(append([]string{"alter"}, args...)...)
		if code != exitDone {
			continue // what an alteration is refused for is the business of other tests
		}
		made++
		checked, _ := w.try("check")
		texts := []string{said, checked}
		for _, f := range followersOf(p, args[1]) {
			refused, code := w.try("alter", "carry", f[0], f[1], "--to", f[2], "--try")
			if code != exitDone && !strings.Contains(refused, "nothing to carry") {
				texts = append(texts, refused)
			}
		}
		seen := map[string]bool{}
		for _, text := range texts {
			for _, command := range advisedIn(text) {
				if key := strings.Join(command, "|"); seen[key] {
					continue
				} else {
					seen[key] = true
				}
				advised++
				out, code := w.tryAdvised(command)
				require.Zero(t, code, "after %q, %q is advised, but: %s\n%s", args, command, out, text)
			}
		}
		w.do("undo")
		if testing.Verbose() {
			t.Logf("%q: %d", args, len(seen))
		}
	}
	t.Logf("%d alterations, %d commands advised", made, advised)
	require.NotZero(t, made)
	require.NotZero(t, advised)
}

// tryAdvised makes what is advised, and takes it back.
func (w *worktable) tryAdvised(command []string) (out string, code int) {
	if command[0] == "alter" {
		return w.try(append(command, "--try")...)
	}
	out, code = w.try(command...)
	if code == exitDone {
		w.do("undo")
	}
	return out, code
}

// followersOf are the pieces that the edges of a piece are sewn to: piece, edge,
// other piece.
func followersOf(p *pattern.Pattern, piece string) (all [][3]string) {
	q, _ := p.Piece(piece)
	for _, e := range q.Edges {
		for _, s := range p.SeamsOf(q.Name, e.Name) {
			for _, c := range []pattern.Chain{s.First, s.Second} {
				for _, st := range c {
					f := [3]string{q.Name, e.Name, st.Piece}
					if st.Piece != q.Name && !slices.Contains(all, f) {
						all = append(all, f)
					}
				}
			}
		}
	}
	return all
}

// onSewnEdges are alterations of every edge that is sewn, and of hems.
func onSewnEdges(p *pattern.Pattern) (all [][]string) {
	for _, q := range p.Pieces {
		for i, e := range q.Edges {
			if e.Fold {
				continue
			}
			sewn := len(p.SeamsOf(q.Name, e.Name)) > 0
			prev := q.Edges[(i+len(q.Edges)-1)%len(q.Edges)]
			next := q.Edges[(i+1)%len(q.Edges)]
			if sewn {
				all = append(all,
					[]string{"let-out", q.Name, e.Name, "5mm"}, []string{"take-in", q.Name, e.Name, "5mm"},
					[]string{"let-out", q.Name, e.Name, "8mm", "--to", "end"}, []string{"take-in", q.Name, e.Name, "8mm", "--to", "start"},
					[]string{"flare", q.Name, e.Name, "12mm"}, []string{"flare", q.Name, e.Name, "--from", "5cm", "--", "-10mm"})
			}
			if sewn || e.Hem {
				all = append(all, []string{"shorten", q.Name, e.Name, "2cm"}, []string{"lengthen", q.Name, e.Name, "2cm"})
				for _, n := range []pattern.Edge{prev, next} {
					if !n.Fold {
						all = append(all, []string{"shorten", q.Name, e.Name, "15mm", "--along", n.Name})
					}
				}
			}
		}
	}
	return all
}
