package trace

import (
	"strings"

	"golang.org/x/net/html/charset"
	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
)

// dxfPage is the code page that a file says its texts are in.
type dxfPage struct {
	name string
	// always: the texts are in it also where their bytes could be UTF-8, which
	// files before release AC1021 (2007) never are. Of pages of Latin letters that
	// is not taken at its word: bytes that are UTF-8 throughout mean nothing in
	// them, and programs write it there all the same.
	always bool
}

// dxfPages are the pages under the names of DXF, but for ANSI_125x and ISO 8859,
// whose numbers other names have too.
var dxfPages = map[string]encoding.Encoding{
	"dos437": charmap.CodePage437, "dos850": charmap.CodePage850, "dos852": charmap.CodePage852, "dos855": charmap.CodePage855,
	"dos860": charmap.CodePage860, "dos862": charmap.CodePage862, "dos863": charmap.CodePage863, "dos865": charmap.CodePage865, "dos866": charmap.CodePage866,
	"mac-roman": charmap.Macintosh,
}

// otherLabels are those by which the pages of eastern Asia are known elsewhere.
var otherLabels = map[string]string{"ansi_932": "shift_jis", "dos932": "shift_jis", "ansi_936": "gbk", "gb2312": "gbk", "ansi_949": "euc-kr", "ksc5601": "euc-kr",
	"ansi_1361": "euc-kr", "ansi_950": "big5", "big5": "big5", "ansi_874": "windows-874", "ascii": "windows-1252"}

// known finds the page's encoding, nil for a name that nobody knows.
func (p dxfPage) known() encoding.Encoding {
	name := strings.ToLower(p.name)
	if e := dxfPages[name]; e != nil {
		return e
	}
	label := otherLabels[name]
	if label == "" {
		label = strings.ReplaceAll(strings.ReplaceAll(name, "ansi_", "windows-"), "iso8859-", "iso-8859-")
	}
	e, _ := charset.Lookup(label)
	return e
}

// encoding is the page's, that of western Europe where it has none that is known.
func (p dxfPage) encoding() encoding.Encoding {
	if e := p.known(); e != nil {
		return e
	}
	return charmap.Windows1252
}

// unicodeRelease is the first release of DXF whose texts are UTF-8.
const unicodeRelease = "AC1021"

// latinPages are those in which bytes that are UTF-8 throughout mean nothing.
var latinPages = map[string]bool{"": true, "ansi_1252": true, "ansi_1250": true, "ansi_1254": true, "ansi_1257": true, "ascii": true, "utf-8": true, "utf8": true}

// pageOf is the page of a file of a release.
func pageOf(name, release string) dxfPage {
	p := dxfPage{name: name}
	p.always = release < unicodeRelease && !latinPages[strings.ToLower(name)] && p.known() != nil
	return p
}
