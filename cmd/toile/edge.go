package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/pattern/alter"
)

type edgeOptions struct {
	fold, hem       bool
	setFold, setHem bool // the flag was given
	allowance       string
	set             string
	until, with     string
	meant, notMeant string // the edge or end at which the corner lies
}

// sets reports whether a flag asks for anything.
func (opt *edgeOptions) sets() bool {
	return opt.setFold || opt.setHem || opt.allowance != "" || opt.until != "" || opt.with != "" || opt.meant != "" || opt.notMeant != ""
}

func newEdge(a *app) *cobra.Command {
	var opt edgeOptions
	cmd := &cobra.Command{
		Use:   "edge PIECE N [NAME]",
		Short: "Name an edge and set its properties",
		Long: `Names an edge and sets what is said of it. N is the edge's number, as pieces
lists it, or its present name. NAME may be left out when a flag sets something.
Seams, notches and marks follow the new name.

--fold lays the edge on the fold of the cloth: it is straight, has no allowance
and is not sewn, and the piece is cut one on fold; a piece has one fold at most.
--fold=false takes it back, and the piece is then cut one. --hem=false takes a
hem back; an edge that is called a hem counts as one all the same, and so does
the lowest while nothing else is the hem and nothing is sewn to it. --allowance
sets the allowance of one set, the first unless --set names another.

--until ends the edge at a length from its start, along the sewing line to the
sharp corners, and makes the rest the next edge. The rest is called edge K,
with the first number that is free from its own on. Seams go on with both;
notches stay where they are and count from the nearer new end only if they
have to, which is said. --with takes that back: it makes the edge and the one
beside it that it names one edge again, where they run on from each other and
have the same allowances. Seams and notches go on with the whole.

--meant says of the corner between the edge and a neighbour, which it names, or
which lies at the edge's start or end, that it is a corner on purpose: check no
longer finds fault with the bend there. --not-meant takes it back.

` + exitCodes,
		Example: `  toile edge front 2 "side seam" --allowance 1.5cm
  toile edge back "edge 4" "centre back" --fold
  toile edge back hemline --hem --allowance 4cm
  toile edge front 1 neckline --until 12.5cm
  toile edge front neckline --with "edge 2"
  toile edge front hemline --meant "side seam"`,
		Args: cobra.RangeArgs(2, 3),
		RunE: func(cmd *cobra.Command, args []string) error {
			opt.setFold, opt.setHem = cmd.Flags().Changed("fold"), cmd.Flags().Changed("hem")
			if len(args) == 2 && !opt.sets() {
				return usagef("nothing to do: give the edge a NAME, or a flag that sets something")
			}
			if opt.set != "" && opt.allowance == "" {
				return usagef("--set says which allowance is meant; give the allowance with --allowance")
			}
			if opt.until != "" && opt.with != "" {
				return usagef("--until makes two edges of one, and --with one of two; give one of them")
			}
			return a.change(func(o *opened) error { return o.setEdge(args, opt) })
		},
		ValidArgsFunction: inOrder(a.pieceNames(), a.edgeNames(), nothing),
	}
	f := cmd.Flags()
	f.BoolVar(&opt.fold, "fold", false, "the edge lies on the fold")
	f.BoolVar(&opt.hem, "hem", false, "the edge is a hem")
	f.StringVar(&opt.allowance, "allowance", "", "the allowance, a length `L`")
	f.StringVar(&opt.set, "set", "", "the allowance `SET` it belongs to, such as cloth or toile")
	f.StringVar(&opt.until, "until", "", "end the edge at the length `L` from its start")
	f.Var(keyText{&opt.with, alter.Edge}, "with", "make the edge and its neighbour `EDGE` one")
	f.Var(keyText{&opt.meant, alter.Edge}, "meant", "its corner with the neighbour `EDGE` is one on purpose")
	f.Var(keyText{&opt.notMeant, alter.Edge}, "not-meant", "its corner with the neighbour `EDGE` is to run smoothly after all")
	completeFlagWith(cmd, "set", a.setNames())
	return cmd
}

func (o *opened) setEdge(args []string, opt edgeOptions) error {
	q, err := o.Piece(args[0])
	if err != nil {
		return err
	}
	i, err := q.EdgeIndex(args[1])
	if err != nil {
		return err
	}
	if len(args) == 3 {
		if err := o.nameEdge(q, i, args[2]); err != nil {
			return err
		}
	}
	if i, err = o.partEdge(q, i, opt); err != nil {
		return err
	}
	if err := o.setMeant(q, i, opt); err != nil {
		return err
	}
	if opt.setHem {
		q.Edges[i].Hem = opt.hem
	}
	if opt.setFold {
		if err := o.setFold(q, i, opt.fold); err != nil {
			return err
		}
	}
	if opt.allowance != "" {
		if err := o.setAllowance(q, i, opt); err != nil {
			return err
		}
	}
	o.sayEdge(q, i)
	o.adviseStillHem(q, i, opt)
	if opt.until != "" {
		o.sayEdge(q, i+1)
	}
	return nil
}

func (o *opened) nameEdge(q *pattern.Piece, i int, text string) error {
	name, err := pattern.CleanName(text)
	if err != nil {
		return fmt.Errorf("%s, edge %d: %w", q.Name, i+1, err)
	}
	if _, err := strconv.Atoi(name); err == nil {
		return fmt.Errorf("%s, edge %d: %q is a number, and numbers are the places of the edges; give it a name of words", q.Name, i+1, name)
	}
	for k, e := range q.Edges {
		if k != i && e.Name == name {
			return fmt.Errorf("%s, edge %d: the name %q is that of edge %d; choose another, or rename that one first", q.Name, i+1, name, k+1)
		}
	}
	o.RenameEdge(q, i, name)
	return nil
}

// setFold lays an edge on the fold or takes it off, and has the piece cut
// accordingly: with a fold once on the fold, without one once.
func (o *opened) setFold(q *pattern.Piece, i int, fold bool) error {
	e := &q.Edges[i]
	for k, other := range q.Edges {
		if fold && other.Fold && k != i {
			return fmt.Errorf("%s, edge %q: %q is the fold already, and a piece has one at most; take that off first with `toile edge %q %q --fold=false`",
				q.Name, e.Name, other.Name, q.Name, other.Name)
		}
	}
	if !fold && !e.Fold {
		return nil
	}
	e.Fold = fold
	cut := pattern.CutOne
	if fold {
		cut, e.Allowance = pattern.CutOnFold, nil
	}
	if q.Cut != cut {
		o.advise("%s is cut %s now; it was cut %s.", q.Name, cut, q.Cut)
		q.Cut = cut
	}
	return nil
}

func (o *opened) setAllowance(q *pattern.Piece, i int, opt edgeOptions) error {
	set := opt.set
	if set == "" {
		set = o.Sets[0]
	}
	if !o.HasSet(set) {
		return fmt.Errorf("%s, edge %q: there is no allowance set %q; the sets are %s", q.Name, q.Edges[i].Name, set, list(o.Sets))
	}
	mm, err := flagLength("allowance", opt.allowance, o.Unit)
	if err != nil {
		return err
	}
	e := &q.Edges[i]
	if e.Fold && mm != 0 {
		return fmt.Errorf("%s, edge %q: a fold has no allowance, so not %s either; leave --allowance out, or take the fold off with --fold=false",
			q.Name, e.Name, o.length(mm))
	}
	if e.Allowance == nil {
		e.Allowance = map[string]float64{}
	}
	e.Allowance[set] = mm
	return nil
}

func (o *opened) sayEdge(q *pattern.Piece, i int) {
	words := o.edgeWords(q, i)
	if words != "" {
		words = "; " + words
	}
	o.say("%s, edge %d %q: %s%s", q.Name, i+1, q.Edges[i].Name, o.length(q.Length(i)), strings.TrimRight(words, " "))
}
