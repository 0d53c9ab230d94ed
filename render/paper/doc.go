// Package paper puts drawings at true size on sheets of paper, as PDF. It
// knows no sewing: what it is given are pictures in mm (x to the right, y
// down), their names, and words for the plan page; it decides on which sheets
// they lie, and says on every sheet which one it is.
//
// In reading order: size.go reads paper sizes and counts the sheets a picture
// takes, picture.go is what a picture consists of, layout.go divides pictures
// into sheets, check.go says where the lines run by which a pasted pattern is
// measured, sheet.go draws one sheet, plan.go the pages of words and the plan
// of the sheets, and pdf.go writes it all through the PDF library.
//
// Habits kept (common practice): margins of 10 mm, which every printer leaves
// free, neighbouring sheets that share 10 mm, crosses at the joints, row and
// column on every sheet, a square of 10 cm to measure, and a long line across
// the sheets, because feed errors add up. Lines are vectors and curves stay
// cubics; letters are text in an embedded typeface, the Go fonts of Bigelow
// and Holmes, which cover Latin, Greek and Cyrillic.
//
// What is drawn lies within 0.004 mm of where it belongs: coordinates are
// written in points with two decimals.
package paper
