package pattern

import (
	"fmt"
	"strings"

	"toile/pattern/units"
)

// wholeSuffix says where a chain is typed that an edge is sewn from end to end.
const wholeSuffix = "whole"

// ParseChain reads PIECE/EDGE[+PIECE/EDGE…]; the edge is a name or a number,
// ":turned" behind it makes the stretch a turned one, ":FROM:TO" sews a part of
// it only: lengths along the edge from its start, in the pattern's unit where
// none is said, or from its end with @end. ":whole" is all of the edge, as is
// saying nothing.
func (p *Pattern) ParseChain(text string) (Chain, error) {
	var chain Chain
	for _, part := range strings.Split(text, "+") {
		piece, edge, ok := strings.Cut(strings.TrimSpace(part), "/")
		if !ok {
			return nil, fmt.Errorf("%q does not name an edge; write PIECE/EDGE, as in \"front/side seam\"", part)
		}
		q, err := p.Piece(strings.TrimSpace(piece))
		if err != nil {
			return nil, err
		}
		edge, rest, more := strings.Cut(edge, ":")
		i, err := q.EdgeIndex(strings.TrimSpace(edge))
		if err != nil {
			return nil, err
		}
		st := Stretch{Piece: q.Name, Edge: q.Edges[i].Name}
		if more {
			if err := p.parsePart(&st, q.EdgePath(i).Length(), rest); err != nil {
				return nil, err
			}
		}
		chain = append(chain, st)
	}
	return chain, nil
}

// parsePart reads what stands behind an edge of a chain, length mm long.
func (p *Pattern) parsePart(st *Stretch, length float64, text string) error {
	words := strings.Split(text, ":")
	if last := len(words) - 1; strings.TrimSpace(words[last]) == "turned" {
		st.Turned, words = true, words[:last]
	}
	switch {
	case len(words) == 0 || len(words) == 1 && strings.TrimSpace(words[0]) == wholeSuffix:
		return nil
	case len(words) != 2:
		return fmt.Errorf("%s/%s:%s does not say a part of the edge; write %s/%s:FROM:TO with lengths along it, as in \"cuff/top:1cm:25cm\", or :whole, or :turned", st.Piece, st.Edge, text, st.Piece, st.Edge)
	}
	var at [2]float64
	for k, word := range words {
		amount, fromEnd := strings.CutSuffix(strings.TrimSpace(word), "@end")
		mm, err := units.ParseLength(amount, p.Unit)
		if err != nil {
			return fmt.Errorf("%s/%s: %w", st.Piece, st.Edge, err)
		}
		if at[k] = mm; fromEnd {
			at[k] = length - mm
		}
	}
	if at[0] >= at[1]-alongEdge || at[0] < -alongEdge || at[1] > length+alongEdge {
		return fmt.Errorf("%s/%s:%s does not lie on the edge, which is %s long; give the nearer end first, both between 0 and that", st.Piece, st.Edge, text, p.Unit.Format(length))
	}
	if st.From = roundMM(max(0, at[0])); at[1] < length-alongEdge {
		st.To = roundMM(at[1])
	}
	return nil
}
