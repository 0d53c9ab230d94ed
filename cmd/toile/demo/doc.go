// Package demo drafts a sample pattern, an orchard smock for fruit pickers,
// takes it through three fittings, and writes the pattern, a drawing of every
// change and an index page.
//
// All measures are invented; the seams are drafted to match, the sleeve head
// with ease-in.
package demo
