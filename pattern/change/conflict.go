package change

import "toile/pattern"

// Conflict is something that two sides changed differently, so that somebody
// has to say which of them counts.
type Conflict struct {
	Where string   `json:"where"`           // what is typed to answer it: PIECE/EDGE, PIECE, or words for what is no piece
	Piece string   `json:"piece,omitempty"` // the piece it is about; empty when it is about none
	Edges []string `json:"edges,omitempty"` // the edges it is about
	Says  string   `json:"says"`

	// For drawing: the piece in the three states, nil where it is not there.
	Shared, Here, There *pattern.Piece `json:"-"`
}
