// Package album writes the history of a pattern as one web page: the thread of
// versions, any two of them laid over each other under a sheet of tracing
// paper, what changed in words and figures, the fittings with their notes, and
// what a check found. The page holds everything it needs and asks for nothing:
// no network, no other file, and a policy in it that forbids both.
//
// It decides nothing: sentences and figures come with the differences, which
// are made between a version and the one before it alone. Each state of a piece
// is written once, as a path that all drawings of it refer to, so that the page
// grows with what was changed. Two versions that are no neighbours are laid over
// each other by the browser; what is told of them are the steps between.
//
// In reading order: book.go is what a page is made from, states.go follows each
// piece through the versions, outline.go turns a state into paths, figures.go
// says amounts in centimetres and inches and where in the drawing they belong,
// acts.go tells what one alteration did alike to several edges and pieces,
// lines.go what changes add to a drawing, said.go writes sentences in both units,
// notes.go what became of a note, data.go puts together what the script reads,
// words.go and drawings.go what is
// read without it, page.go joins them with album.html, album.css and album.js.
//
// Lengths are mm, x to the right and y down. Every piece of a track lies on one
// sheet, that of its first version.
package album
