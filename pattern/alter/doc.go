// Package alter makes alterations: shortening, letting out, flaring,
// spreading, splitting and the rest, on exact curves.
//
// An alteration works on a copy, touches only the edges it must, keeps every
// notch's anchor, and either gives a valid pattern or an error that says what
// is in the way and what to do; it never leaves a half-made piece. Nothing is
// flattened: a result holds the nodes of its sources, their meetings and cuts,
// and the new curves that the alteration declares.
package alter
