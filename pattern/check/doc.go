// Package check says whether the pieces of a pattern still sew together: it
// walks every seam section by section, lays inner pieces on their outers and
// pieces beside each other at their seams, and looks after notches, marks,
// openings, allowances and cut counts.
//
// In reading order: check.go runs all of it, sections.go walks the seams and
// adding.go adds up what is left within the tolerance; lay.go lays an inner
// piece on its outer, layers.go judges how it lies, bands.go measures what
// follows in length alone; junctions.go finds where lines run on across a seam
// and smooth.go how; notches.go, marks.go, buttons.go, openings.go,
// allowances.go, hems.go and pieces.go are the rest.
//
// All lengths are mm along the sewing line, dart mouths and pleat intakes left
// out, to the accuracy of geom.Path.Length. Where lines are compared by shape
// they are looked at in places spread along them, at most 5 mm apart, each to
// the accuracy of geom.Path.Nearest. A check changes nothing.
package check
