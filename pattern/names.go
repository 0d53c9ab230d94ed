package pattern

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"toile/geom"
	"toile/pattern/units"
)

// maxName is the greatest number of characters in a name.
const maxName = 80

// CleanName brings a name to its stored form (Unicode NFC, no space at either
// end) and refuses what a name may not hold: nothing at all, more than 80
// characters, control characters (those that turn the direction of writing
// included), and / : , + which separate names where they are typed.
func CleanName(name string) (string, error) {
	if !utf8.ValidString(name) {
		return "", fmt.Errorf("the name %q is not valid UTF-8", name)
	}
	n := strings.TrimSpace(norm.NFC.String(name))
	if n == "" {
		return "", fmt.Errorf("a name may not be empty")
	}
	if c := utf8.RuneCountInString(n); c > maxName {
		return "", fmt.Errorf("the name %q… has %d characters; %d is the most", string([]rune(n)[:20]), c, maxName)
	}
	for _, r := range n {
		if strings.ContainsRune("/:,+", r) {
			return "", fmt.Errorf("the name %q holds %q; / : , and + separate names and cannot be in one", n, r)
		}
		if unicode.In(r, unicode.Cc, unicode.Zl, unicode.Zp, unicode.Bidi_Control) || notText(r) || r == '\ufeff' {
			return "", fmt.Errorf("the name %q holds the control character %U; leave it out", n, r)
		}
	}
	return n, nil
}

// notText reports what is no character at all: the replacement character that
// stands for lost text, and the code points that XML refuses.
func notText(r rune) bool { return r == utf8.RuneError || r == '\ufffe' || r == '\uffff' }

// unprintable finds the first character that a text may not hold: a control
// character other than a line break and a tab.
func unprintable(s string) (rune, bool) {
	for _, r := range s {
		if notText(r) || (unicode.IsControl(r) && r != '\n' && r != '\t') {
			return r, true
		}
	}
	return 0, false
}

// reservedSlugs are file names that some systems keep for devices.
var reservedSlugs = map[string]bool{"con": true, "prn": true, "aux": true, "nul": true}

// Slug turns a name into a file name: accents stripped, lower case, every
// other run of characters a single hyphen. Reserved names and those in taken
// get a number behind them.
func Slug(name string, taken func(string) bool) string {
	var b strings.Builder
	hyphen := false
	for _, r := range norm.NFD.String(strings.ToLower(name)) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			if hyphen && b.Len() > 0 {
				b.WriteByte('-')
			}
			hyphen = false
			b.WriteRune(r)
		case unicode.Is(unicode.Mn, r):
		default:
			hyphen = true
		}
	}
	base := b.String()
	if base == "" {
		base = "piece"
	}
	if len(base) > 60 {
		base = strings.TrimRight(base[:60], "-")
	}
	slug := base
	for n := 2; reservedSlugs[slug] || isDevice(slug) || (taken != nil && taken(slug)); n++ {
		slug = fmt.Sprintf("%s-%d", base, n)
	}
	return slug
}

// isDevice reports com0…com9 and lpt0…lpt9.
func isDevice(slug string) bool {
	return len(slug) == 4 && (slug[:3] == "com" || slug[:3] == "lpt") && slug[3] >= '0' && slug[3] <= '9'
}

// isSlug reports whether a piece's file may be called so.
func isSlug(s string) bool {
	return s != "" && s[0] != '-' && strings.Trim(s, "abcdefghijklmnopqrstuvwxyz0123456789-") == ""
}

// NewSlug returns a slug for a new piece of this pattern.
func (p *Pattern) NewSlug(name string) string {
	return Slug(name, func(s string) bool {
		for _, q := range p.Pieces {
			if q.Slug == s {
				return true
			}
		}
		return false
	})
}

// newID derives an id of 8 hex digits from the text, different from those
// taken.
func newID(text string, taken map[string]bool) string {
	for n := 0; ; n++ {
		sum := sha256.Sum256(fmt.Appendf(nil, "%s\x00%d", text, n))
		if id := hex.EncodeToString(sum[:4]); !taken[id] {
			taken[id] = true
			return id
		}
	}
}

// GiveIDs gives the piece and each of its edges that has none an id derived
// from what it is now.
func (p *Pattern) GiveIDs(q *Piece) {
	if q.ID == "" {
		taken := map[string]bool{}
		for _, o := range p.Pieces {
			if o != q {
				taken[o.ID] = true
			}
		}
		q.ID = newID("piece "+q.Name+" "+q.fingerprint(), taken)
	}
	edges := map[string]bool{}
	for _, e := range q.Edges {
		edges[e.ID] = true
	}
	for i := range q.Edges {
		if q.Edges[i].ID == "" {
			q.Edges[i].ID = newID(fmt.Sprintf("edge %s %d %s", q.ID, i, pathText(q.EdgePath(i))), edges)
		}
	}
}

// NewFittingID makes a fitting's id from its number, date and cloth and from
// chance, a random text: two branches may each try on a version on one day in one
// cloth. Without chance equal fittings get equal ids, as one needs that is read
// from a file without an id.
func (p *Pattern) NewFittingID(f *Fitting, chance string) string {
	text := fmt.Sprintf("fitting %d %s %s", f.Number, f.Date, f.Cloth)
	if chance != "" {
		text += " " + chance
	}
	taken := map[string]bool{}
	for _, o := range p.Fittings {
		taken[o.ID] = true
	}
	return newID(text, taken)
}

func (p *Piece) fingerprint() string {
	var b strings.Builder
	for i := range p.Edges {
		b.WriteString(pathText(p.EdgePath(i)))
	}
	return b.String()
}

func pathText(path geom.Path) string {
	var b strings.Builder
	for _, c := range path {
		for _, q := range []geom.Point{c.P0, c.P1, c.P2, c.P3} {
			b.WriteString(number(q.X) + " " + number(q.Y) + " ")
		}
	}
	return b.String()
}

// number prints mm for files and messages: at most 3 decimals.
func number(v float64) string { return units.Number(v, 3) }

// place prints a point for a message.
func place(q geom.Point) string {
	return "(" + units.Number(q.X, 1) + ", " + units.Number(q.Y, 1) + ")"
}

func speaksOfHem(name string) bool { return strings.Contains(strings.ToLower(name), "hem") }
