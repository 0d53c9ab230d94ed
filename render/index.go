package render

import (
	_ "embed"
	"html/template"
	"io"
	"net/url"
	"strings"
	"sync"
)

// IndexPage is a plain page that leads to the drawings of a pattern.
type IndexPage struct {
	Title, Intro string
	Versions     []IndexVersion
	Pieces       []IndexDrawing
}

// IndexVersion is one version: what it says changed, and its overlays.
type IndexVersion struct {
	Number        int
	Text, Fitting string
	Says          []string
	Drawings      []IndexDrawing
}

// IndexDrawing is a drawing in a file named relative to the page, with '/'
// between folders.
type IndexDrawing struct{ File, Title string }

//go:embed index.html
var indexText string

// indexTemplate is read when the first page is written: most commands write none.
var indexTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("index").Funcs(template.FuncMap{"plain": plain, "link": link}).Parse(indexText))
})

// Index writes the page: HTML with its style inside, no script, nothing
// fetched but the drawings. All text is escaped.
func Index(w io.Writer, p IndexPage) error {
	var out strings.Builder
	if err := indexTemplate().Execute(&out, p); err != nil {
		return err
	}
	_, err := io.WriteString(w, out.String())
	return err
}

// link escapes a file's name part by part and keeps it relative, so that no
// name can lead elsewhere.
func link(file string) template.URL {
	parts := strings.Split(plain(file), "/")
	var kept []string
	for _, part := range parts {
		if part == "" || part == "." || part == ".." {
			continue
		}
		kept = append(kept, url.PathEscape(part))
	}
	return template.URL("./" + strings.Join(kept, "/"))
}
