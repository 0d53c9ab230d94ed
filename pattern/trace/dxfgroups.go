package trace

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// dxfGroup is a code and its value, which stand on a line each.
type dxfGroup struct {
	code  int
	value string
	line  int // of the value
}

// dxfBinary is how a binary DXF begins.
const dxfBinary = "AutoCAD Binary DXF"

// dxfScanner reads groups one after the other.
type dxfScanner struct {
	lines *bufio.Scanner
	line  int
	kept  *dxfGroup // given back, to be read again
}

func newDXFScanner(r io.Reader) *dxfScanner {
	s := &dxfScanner{lines: bufio.NewScanner(r)}
	s.lines.Buffer(nil, maxLineLength)
	return s
}

var errDXFCut = errors.New("the file is cut off: it ends before its end is marked (EOF); export it again")

// next reads a group; comments are left out.
func (s *dxfScanner) next() (dxfGroup, error) {
	if g := s.kept; g != nil {
		s.kept = nil
		return *g, nil
	}
	for {
		g, err := s.read()
		if err != nil || g.code != 999 {
			return g, err
		}
	}
}

func (s *dxfScanner) back(g dxfGroup) { s.kept = &g }

func (s *dxfScanner) read() (g dxfGroup, err error) {
	code, err := s.text()
	if err != nil {
		return g, err
	}
	if s.line == 1 && strings.HasPrefix(code, dxfBinary) {
		return g, errors.New("this is binary DXF; save it again as ASCII DXF")
	}
	if g.code, err = strconv.Atoi(strings.TrimSpace(code)); err != nil || g.code < -5 || g.code > 1071 {
		return g, fmt.Errorf("%s stands where the number of a group belongs; the file is broken or no DXF; export it again", quote(code))
	}
	if g.value, err = s.text(); err != nil {
		return g, err
	}
	g.line = s.line
	return g, nil
}

func (s *dxfScanner) text() (string, error) {
	if s.lines.Scan() {
		s.line++
		return s.lines.Text(), nil
	}
	s.line++
	switch err := s.lines.Err(); {
	case err == nil:
		return "", errDXFCut
	case errors.Is(err, bufio.ErrTooLong):
		return "", fmt.Errorf("a line longer than %d characters; this is no ASCII DXF", maxLineLength)
	default:
		return "", err
	}
}

// dxfLargest bounds numbers as they stand in the file, in its unit.
const dxfLargest = 1e12

// number reads a decimal number.
func (g dxfGroup) number() (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(g.value), 64)
	if err != nil || math.IsNaN(v) || math.Abs(v) > dxfLargest {
		return 0, &dxfProblem{g.line, fmt.Errorf("group %d is %s, where a number is needed", g.code, quote(g.value))}
	}
	return v, nil
}

// integer reads a whole number; a decimal one without a fraction will do.
func (g dxfGroup) integer() (int, error) {
	v, err := g.number()
	if err == nil && (v != math.Trunc(v) || math.Abs(v) > math.MaxInt32) {
		err = &dxfProblem{g.line, fmt.Errorf("group %d is %s, where a whole number is needed", g.code, quote(g.value))}
	}
	return int(v), err
}

// dxfProblem is an error at a line of the file.
type dxfProblem struct {
	line int
	err  error
}

func (p *dxfProblem) Error() string { return p.err.Error() }
func (p *dxfProblem) Unwrap() error { return p.err }

// problem is an error at a line.
func problem(line int, format string, args ...any) error {
	return &dxfProblem{line, fmt.Errorf(format, args...)}
}

// dxfText makes letters of a value: those beyond ASCII are written by their
// numbers, as \U+00E9, or in the page of the file, some signs as %%c (dxfSigns).
func dxfText(value string, page dxfPage) string {
	if !utf8.ValidString(value) || page.always {
		if text, err := page.encoding().NewDecoder().String(value); err == nil {
			value = text
		}
	}
	value = dxfSigns(strings.ToValidUTF8(value, "\ufffd"))
	if strings.Contains(value, `\U+`) || strings.Contains(value, `\u+`) {
		value = dxfUnescaped(value)
	}
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, value))
}

// dxfSign is a sign written as two percent signs and a letter or three digits:
// diameter, degrees, plus or minus, per cent, any by its number; under and over
// switch lines at the letters on and off.
var dxfSign = regexp.MustCompile(`%%([cCdDpPuUoO%]|[0-9]{3})`)

func dxfSigns(value string) string {
	if !strings.Contains(value, "%%") {
		return value
	}
	signs := map[string]string{"c": "\u2300", "d": "\u00b0", "p": "\u00b1", "%": "%", "u": "", "o": ""}
	return dxfSign.ReplaceAllStringFunc(value, func(sign string) string {
		if n, err := strconv.Atoi(sign[2:]); err == nil {
			return string(rune(n))
		}
		return signs[strings.ToLower(sign[2:])]
	})
}

// dxfUnescaped replaces letters written as \U+ and four hexadecimal digits, pairs
// of surrogates too.
func dxfUnescaped(value string) string {
	var b strings.Builder
	number := func(s string) (rune, bool) {
		if len(s) < 7 || !strings.EqualFold(s[:3], `\U+`) {
			return 0, false
		}
		v, err := strconv.ParseUint(s[3:7], 16, 16)
		return rune(v), err == nil
	}
	for len(value) > 0 {
		r, ok := number(value)
		if !ok {
			b.WriteByte(value[0])
			value = value[1:]
			continue
		}
		value = value[7:]
		if low, ok := number(value); ok && utf16.IsSurrogate(r) {
			if pair := utf16.DecodeRune(r, low); pair != utf8.RuneError {
				r, value = pair, value[7:]
			}
		}
		b.WriteRune(r)
	}
	return b.String()
}
