package trace

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"toile/geom"
)

var errDecimalComma = errors.New("the comma parts across from down; write decimals with a point, as in `3.5, 7`")

// readPair reads `across, down` from the start of a line and gives the rest.
func readPair(s string) (geom.Point, string, error) {
	x, rest, err := readMeasure(s)
	if err != nil {
		return geom.Point{}, rest, fmt.Errorf("across: %w", err)
	}
	rest = strings.TrimSpace(rest)
	if !strings.HasPrefix(rest, ",") {
		return geom.Point{}, rest, fmt.Errorf("after %s a comma and the measure down are expected, as in `3.5, 7`",
			quote(strings.TrimSpace(strings.TrimSuffix(s, rest))))
	}
	y, rest, err := readMeasure(rest[1:])
	if err != nil {
		return geom.Point{}, rest, fmt.Errorf("down: %w", err)
	}
	switch trimmed := strings.TrimSpace(rest); {
	case trimmed == "":
	case strings.IndexByte(",;", trimmed[0]) >= 0 || isDigit(trimmed[0]):
		return geom.Point{}, rest, errDecimalComma
	case rest[0] != ' ' && rest[0] != '\t':
		return geom.Point{}, rest, fmt.Errorf("%s follows the number directly; "+
			"leave units off and name them once, as in `unit: cm`", quote(trimmed))
	}
	return geom.Pt(x, y), strings.TrimSpace(rest), nil
}

// readPairs reads `across, down to across, down …` and gives what follows.
func readPairs(s string) ([]geom.Point, string, error) {
	var pairs []geom.Point
	for {
		q, rest, err := readPair(s)
		if err != nil {
			return nil, "", err
		}
		pairs = append(pairs, q)
		word, after, _ := strings.Cut(strings.ReplaceAll(rest, "\t", " "), " ")
		if !strings.EqualFold(word, "to") {
			return pairs, rest, nil
		}
		s = after
	}
}

// readMeasure reads a number as a ruler gives it: 21, -0.5, .5, 3/8, 21 1/2.
func readMeasure(s string) (float64, string, error) {
	s = strings.TrimSpace(s)
	if after, found := strings.CutPrefix(s, "−"); found { // as word processors write it
		s = "-" + after
	}
	n := strings.TrimLeft(s, "+-")
	sign := 1.0
	switch signs := s[:len(s)-len(n)]; signs {
	case "", "+":
	case "-":
		sign = -1
	default:
		return 0, s, fmt.Errorf("%s is not a number", quote(s))
	}
	end := 0
	for end < len(n) && (isDigit(n[end]) || n[end] == '.') {
		end++
	}
	v, err := strconv.ParseFloat(n[:end], 64)
	if err != nil && !errors.Is(err, strconv.ErrRange) { // out of range gives ±Inf, refused below
		return 0, s, fmt.Errorf("%s is not a number; write it as 21.5 or 21 1/2", quote(s))
	}
	rest := n[end:]
	whole := !strings.Contains(n[:end], ".")
	if over, after, ok := below(rest); ok && whole {
		v, rest = v/over, after
	} else if part, after, ok := fraction(rest); ok && whole {
		v, rest = v+part, after
	}
	if v > maxCoord*1000 { // in any unit; an overflow too
		return 0, s, fmt.Errorf("%s is beyond all measure", quote(n[:end]))
	}
	return sign * v, rest, nil
}

// below reads `/8`, the lower part of a fraction.
func below(s string) (over float64, rest string, ok bool) {
	if !strings.HasPrefix(s, "/") {
		return 0, s, false
	}
	end := digitsEnd(s, 1)
	v, err := strconv.Atoi(s[1:end])
	return float64(v), s[end:], err == nil && v > 0
}

// fraction reads ` 3/8` after a whole number.
func fraction(s string) (part float64, rest string, ok bool) {
	t := strings.TrimLeft(s, " \t")
	end := digitsEnd(t, 0)
	if len(t) == len(s) || end == 0 {
		return 0, s, false
	}
	v, err := strconv.Atoi(t[:end])
	over, rest, ok := below(t[end:])
	return float64(v) / over, rest, ok && err == nil && float64(v) < over
}
