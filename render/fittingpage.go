package render

import (
	"bytes"
	"fmt"
	"html/template"
	"regexp"

	"toile/pattern/units"
)

// fittingPageText holds sheets as one page for a browser: nothing but its own
// style, each sheet on paper of its own when it is printed.
var fittingPageText = template.Must(template.New("fitting").Parse(`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="generator" content="toile fitting sheet">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{.Title}}</title>
<style>
@page { size: {{.Wide}} {{.High}}; margin: 0 }
body { margin: 0; background: #e8dfcd }
svg { display: block; width: {{.Wide}}; height: {{.High}}; max-width: 100%; margin: 1rem auto; background: #fff; box-shadow: 0 2px 8px rgba(0, 0, 0, .3) }
@media print { body { background: none } svg { margin: 0; box-shadow: none; break-after: page; break-inside: avoid } svg:last-of-type { break-after: auto } }
</style>
</head>
<body>
{{range .Sheets}}{{.}}
{{end}}</body>
</html>
`))

// xmlHead is what stands before a drawing that is a file of its own.
var xmlHead = regexp.MustCompile(`(?s)^.*?(<svg)`)

// FittingPage puts the sheets of a piece, as FittingPages draws them, into one
// page that any browser prints at the size of the paper.
func FittingPage(s FittingSheet, piece string, sheets [][]byte) []byte {
	paper := papers[s.Paper]
	page := struct {
		Title      string
		Wide, High template.CSS
		Sheets     []template.HTML
	}{Title: Plain(fmt.Sprintf("%s: %s, fitting sheet", s.Pattern, piece)),
		Wide: template.CSS(units.Number(paper.X, 1) + "mm"), High: template.CSS(units.Number(paper.Y, 1) + "mm")}
	for _, text := range sheets {
		page.Sheets = append(page.Sheets, template.HTML(xmlHead.ReplaceAll(text, []byte("$1"))))
	}
	var b bytes.Buffer
	if err := fittingPageText.Execute(&b, page); err != nil {
		panic(err) // into memory, of fields that are there
	}
	return b.Bytes()
}
