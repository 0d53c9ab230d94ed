// Package explain says, from two outlines that lie over each other, what was
// done to the edges of the first to make the second, in the fewest changes.
//
// It knows edges, a hem and the grain, and nothing of names: which edge of the
// new outline continues which old one is found from their shapes and order.
package explain
