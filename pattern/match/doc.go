// Package match finds how one outline lies over another, and which edge of a
// new outline continues which edge of an old one.
//
// LayOver finds the rigid motion that takes a new outline onto the old one
// when up to about 40 % of the boundary has changed, drawn exactly or traced
// by hand, which stretches are unchanged, and what other motions fit nearly as
// well. Edges then says, for outlines that lie over each other, which new edge
// is which old one.
//
// The package knows outlines and edges only; what a difference means is said
// elsewhere.
package match
