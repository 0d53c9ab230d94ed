package trace

import (
	"strconv"
	"strings"

	"toile/pattern"
)

// quantity reads the text QUANTITY of a block where nothing else says how the
// piece is cut: 1 or 1,0 is one, 2 a pair, and so is 1,1, one and one turned over.
// What it takes for a pair, and what it can make nothing of, is told.
func (q *dxfPiece) quantity() {
	text, ok := q.block.says("quantity")
	if !ok || q.out.Cut != "" {
		return
	}
	pair := false
	switch n := quantityOf(text); n {
	case [2]int{1, 0}, [2]int{0, 1}:
		return
	case [2]int{2, noSecond}, [2]int{1, 1}:
		pair = true
	case [2]int{1, noSecond}:
		return
	}
	switch {
	case pair && q.out.Fold == nil:
		q.out.Cut = string(pattern.CutPair)
		q.note(q.block.line, "block %s: QUANTITY %s is taken as a pair; --cut says another", quote(q.block.name), quote(text))
	case pair:
		q.note(q.block.line, "block %s: QUANTITY %s with a fold is left out: a piece on the fold is cut once; say in its note how often", quote(q.block.name), quote(text))
	default:
		q.note(q.block.line, "block %s: QUANTITY %s is left out: it is neither one (1) nor a pair (2, or 1,1); --cut says how it is cut", quote(q.block.name), quote(text))
	}
}

// noSecond stands where a quantity has no second figure.
const noSecond = -1

// quantityOf reads one figure, or two with a comma, semicolon, slash or space
// between; -2 stands for anything else. A figure may have zeros behind a point,
// and PR or PAIRS doubles it.
func quantityOf(text string) [2]int {
	times := 1
	for _, word := range [...]string{"pairs", "pair", "prs", "pr"} {
		if before, ok := strings.CutSuffix(strings.ToLower(strings.TrimSpace(text)), word); ok {
			text, times = before, 2
			break
		}
	}
	fields := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(",;/ ", r) })
	n := [2]int{-2, noSecond}
	if len(fields) > len(n) {
		return n
	}
	for i, f := range fields {
		whole, zeros, _ := strings.Cut(f, ".")
		v, err := strconv.Atoi(whole)
		if strings.Trim(zeros, "0") != "" {
			return [2]int{-2, noSecond}
		}
		v *= times
		if err != nil || v < 0 {
			return [2]int{-2, noSecond}
		}
		n[i] = v
	}
	return n
}
