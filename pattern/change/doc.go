// Package change says what a change between two patterns is: the kinds, the
// figures each kind carries, and the words for them. What finds, draws,
// merges or makes changes shares these types.
//
// Lengths are millimetres, angles degrees in the exported figures, areas mm²;
// outward, longer and opening are positive. Points are [x, y] on FROM's sheet.
package change
