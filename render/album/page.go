package album

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"html/template"
	"io"
	"runtime"
	"strings"
	"sync"

	"toile/render"
)

//go:embed album.html
var pageText string

//go:embed album.css
var styleText string

//go:embed script/*.js
var scripts embed.FS

// scriptText is the page's script: its parts in order, out of reach of anything
// else.
var scriptText = func() string {
	parts, err := scripts.ReadDir("script")
	if err != nil {
		panic(err)
	}
	var b strings.Builder
	b.WriteString("(() => {\n'use strict';\n")
	for _, part := range parts {
		text, err := scripts.ReadFile("script/" + part.Name())
		if err != nil {
			panic(err)
		}
		b.Write(text)
	}
	b.WriteString("})();\n")
	return b.String()
}()

// Mark stands near the start of every album, so that a command knows what it
// may write over.
const Mark = `<meta name="generator" content="toile album">`

var pageTemplate = template.Must(template.New("album").Parse(pageText))

// page is what the template is filled with.
type page struct {
	Name, Made, Summary, Checked, Walked string
	Policy                               string
	Style                                template.CSS
	Script                               template.JS
	Data                                 template.JS
	Defs                                 template.HTML
	Hatches                              []hatch
	Versions                             []versionWords
	Fittings                             []fittingWords
	Mismatches, Reminders                []findingWords
}

// Write writes the album as one HTML page. The book is left as it is. Nothing is
// written when it fails: when a piece's outline cannot be drawn.
func Write(w io.Writer, b *Book) error {
	t := follow(b)
	shapes, err := shapesOf(t)
	if err != nil {
		return err
	}
	text, err := json.Marshal(dataOf(b, t, shapes))
	if err != nil {
		return err
	}
	p := page{Name: plain(b.Name), Made: plain(b.Made), Summary: summary(b, t), Walked: plain(b.Walked), Policy: policy(),
		Style: template.CSS(styleText), Script: template.JS(scriptText), Data: template.JS(text), Defs: defs(shapes), Hatches: hatches()}
	if b.Checked && b.Here >= 0 {
		p.Checked = "version " + numberOf(b, b.Here)
	}
	p.Versions = versionsInWords(b, t, shapes)
	p.Fittings = fittingsInWords(b, t)
	p.Mismatches, p.Reminders = findingsInWords(b)
	var out bytes.Buffer
	if err := pageTemplate.Execute(&out, p); err != nil {
		return err
	}
	_, err = out.WriteTo(w)
	return err
}

// shapesOf turns all states into paths, as many at a time as there are
// processors.
func shapesOf(t *tracks) ([]shape, error) {
	shapes, errs := make([]shape, len(t.outlines)), make([]error, len(t.outlines))
	next := make(chan int)
	var all sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		all.Go(func() {
			for i := range next {
				shapes[i], errs[i] = shapeOf(t.outlines[i])
			}
		})
	}
	for i := range shapes {
		next <- i
	}
	close(next)
	all.Wait()
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return shapes, nil
}

// policy allows the style and the script of this page and nothing else; the
// icon is part of the page too.
func policy() string {
	hash := func(text string) string {
		sum := sha256.Sum256([]byte(text))
		return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
	}
	return fmt.Sprintf("default-src 'none'; img-src data:; style-src %s; script-src %s; base-uri 'none'; form-action 'none'", hash(styleText), hash(scriptText))
}

// defs are the paths of all states.
func defs(shapes []shape) template.HTML {
	var b bytes.Buffer
	for i, s := range shapes {
		fmt.Fprintf(&b, "<path id=\"o%d\" d=\"%s\"/>\n", i, s.outline)
		if s.details != "" {
			fmt.Fprintf(&b, "<path id=\"d%d\" d=\"%s\"/>\n", i, s.details)
		}
	}
	return template.HTML(b.String())
}

func plain(s string) string { return render.Plain(s) }
