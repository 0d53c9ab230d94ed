package main

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"toile/render/album"
)

type albumOptions struct {
	output    string
	noPersons bool
	onlyTell  bool
}

// albumEnding is how the name of an album ends.
const albumEnding = ".html"

func newAlbum(a *app) *cobra.Command {
	var opt albumOptions
	cmd := &cobra.Command{
		Use:   "album -o FILE.html",
		Short: "Write the history as one web page",
		Long: `Writes all versions of all branches as one web page that opens in any browser and
needs nothing else, no network and no other file: the thread of versions, any two
versions of a piece over each other, what changed in words and figures, in
centimetres and inches, the fittings with their notes and the versions that
answered them, and what a check of the last version found. Printed, it lists the
versions one after the other. Without a script it can be read too.

Who is named in the page is said before it is written: those who made versions,
and wearers whose names stand in fittings. --no-persons leaves them out. Texts of
versions and notes are shown as they were written, names in them too. Measures of
wearers and what lies under .git/toile are never part of it. --try only says who
would be named.

What is in no version yet is left out. A file that is no album of toile's is
never written over; -o - prints the page.

` + exitCodes,
		Example: `  toile album -o smock.html
  toile album -o smock.html --no-persons`,
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			if err := opt.check(); err != nil {
				return err
			}
			return a.open(false, func(o *opened) error { return o.album(a, opt) })
		},
		ValidArgsFunction: nothing,
	}
	f := cmd.Flags()
	f.StringVarP(&opt.output, "output", "o", "", "the album's `FILE`, - to print it")
	f.BoolVar(&opt.noPersons, "no-persons", false, "leave out who made the versions and who wore the mock-ups")
	f.BoolVar(&opt.onlyTell, "try", false, "only say who would be named")
	return cmd
}

func (opt albumOptions) check() error {
	switch {
	case opt.output == "" && !opt.onlyTell:
		return usagef("-o is missing: name the file that the album is written into, as in `toile album -o album.html`")
	case opt.output != "" && opt.output != toStdout && !strings.EqualFold(filepath.Ext(opt.output), albumEnding):
		return usagef("-o is %q; an album is a web page, so name a file that ends in %s, or %s to print it", opt.output, albumEnding, toStdout)
	}
	return nil
}

// album says who is named, at once, and then makes the page and writes it.
func (o *opened) album(a *app, opt albumOptions) error {
	if opt.output != "" && opt.output != toStdout {
		if err := mayReplace(opt.output, []byte(album.Mark), "album"); err != nil {
			return err
		}
	}
	b, err := o.newBinder()
	if err != nil {
		return err
	}
	if err := b.persons.tell(a.stderr, opt); err != nil || opt.onlyTell {
		return err
	}
	book, err := b.bind(opt)
	if err != nil {
		return err
	}
	var page bytes.Buffer
	if err := album.Write(&page, book); err != nil {
		return err
	}
	o.adviseUnsaved()
	if opt.output == toStdout {
		_, err := page.WriteTo(&o.result)
		return err
	}
	size := page.Len()
	if err := writeFile(opt.output, page.Bytes()); err != nil {
		return err
	}
	o.say("album: %s, %s, %s", opt.output, count(len(book.Versions), "version", "versions"), fileSize(size))
	return nil
}

// adviseUnsaved says that the folder holds what no version has.
func (o *opened) adviseUnsaved() {
	if files, err := o.repo.Working(); err == nil {
		if names, err := o.repo.Dirty(files); err == nil && len(names) > 0 {
			o.advise("The folder holds changes that are in no version yet; they are not in the album.")
		}
	}
}

func fileSize(bytes int) string {
	if bytes < 1e6 {
		return fmt.Sprintf("%d kB", (bytes+999)/1000)
	}
	return fmt.Sprintf("%.1f MB", float64(bytes)/1e6)
}

// albumPersons are the persons that an album would name.
type albumPersons struct{ made, wore []string }

// tell says who is named. It goes to stderr at once, before anything is written.
func (p albumPersons) tell(w io.Writer, opt albumOptions) error {
	var lines []string
	if opt.noPersons {
		lines = append(lines, "The album names no persons but those in texts of versions and notes, which are shown as they were written.")
	} else {
		lines = append(lines, "The album names these persons:",
			"  the persons who made the versions: "+list(p.made))
		if len(p.wore) > 0 {
			lines = append(lines, "  wearers, whose names stand in fittings: "+list(p.wore))
		}
		lines = append(lines, "Texts of versions and notes are shown as they were written. --no-persons leaves the names above out.")
	}
	for _, line := range lines {
		if _, err := fmt.Fprintln(w, line); err != nil {
			return err
		}
	}
	return nil
}

// today is the day that is written on an album.
func (o *opened) today() string { return o.now().Format("2 January 2006") }
