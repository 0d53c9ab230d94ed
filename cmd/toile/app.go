package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"toile/pattern"
	"toile/pattern/alter"
	"toile/repo"
)

// app is what all commands share: where to print, and which pattern is meant.
type app struct {
	stdout, stderr io.Writer
	folder         string // --pattern
	begun          bool   // a command was understood and runs
	mismatch       bool   // a check found one
	now            func() time.Time
	typed          []string // the words of the command line
}

func newApp(stdout, stderr io.Writer) *app {
	return &app{stdout: stdout, stderr: stderr, now: time.Now}
}

// opened is a pattern opened for one command. What the command has to say is
// held back until the command has done its work.
type opened struct {
	*pattern.Pattern // the working pattern, where the command reads it
	repo             *repo.Repo
	files            repo.Files // as they lie in the folder
	now              func() time.Time
	unread           map[string]string // pieces that were not read, for they are those of the last version: the ids of their files
	reader           *pattern.Reader
	mended           []string          // files that could not be read, and are those of the last version here (decodeOrMend)
	made             []madeRecipe      // alterations that this command made
	slid             []alter.SlidMatch // notches that went along with an end in them
	stagesOf         map[stageKey][]*pattern.Pattern
	between          map[[2]*pattern.Pattern]*lookingBack // by two stages, the earlier one first
	keptSteps        map[[2]string][]pieceStep            // by the version at the end of the line, and the piece
	result           bytes.Buffer
	advice           bytes.Buffer
}

// say adds a line to the result, which goes to stdout.
func (o *opened) say(format string, args ...any) { fmt.Fprintf(&o.result, format+"\n", args...) }

// advise adds a line of progress or advice, which goes to stderr.
func (o *opened) advise(format string, args ...any) { fmt.Fprintf(&o.advice, format+"\n", args...) }

// length prints a length in the pattern's unit.
func (o *opened) length(mm float64) string { return o.Unit.Format(mm) }

// read runs a command that reads the working pattern.
func (a *app) read(do func(*opened) error) error {
	return a.open(false, func(o *opened) error {
		if err := o.decodeWorking(); err != nil {
			return err
		}
		return do(o)
	})
}

// change runs a command that changes the working pattern: it holds the lock
// from reading to writing, and writes only when everything is done and valid.
// Files whose content the command left alone are not touched.
func (a *app) change(do func(*opened) error) error {
	return a.open(true, func(o *opened) error {
		if err := o.decodeWorking(); err != nil {
			return err
		}
		before, err := o.encode()
		if err != nil {
			return err
		}
		if err := do(o); err != nil {
			return err
		}
		after, err := o.encode()
		if err != nil {
			return err
		}
		if err := o.keepMade(); err != nil {
			return err
		}
		return o.write(before, after)
	})
}

// open runs a command on the pattern's versions, with the pattern to itself
// when it is to be locked: then what it changes can be taken back with `undo`,
// as one step, whatever it changes. A command that only lets the store lock while
// it writes is taken back as well, but not when it fails. The working pattern is
// not read. What the command
// had to say is printed once it has succeeded.
func (a *app) open(lock bool, do func(*opened) error) error {
	r, err := a.openRepo()
	if err != nil {
		return err
	}
	defer r.Close()
	if lock {
		unlock, err := r.Lock()
		if err != nil {
			return err
		}
		defer unlock()
	}
	brokenOff := !lock && r.BrokenOff()
	r.Begin(a.commandLine(), a.now())
	o := &opened{repo: r, now: a.now, reader: &pattern.Reader{}}
	err = do(o)
	r.End(err != nil)
	if !lock {
		r.SaveWhatWasRead()
	}
	if brokenOff {
		o.advise("A command was broken off while the folder went from one version to another: what it had written already looks like changes of yours. The next command that changes the pattern completes that first, or takes it back; the same one again will do.")
	}
	for _, w := range r.Warnings() {
		o.advise("%s", w)
		if err != nil { // it is true all the same
			fmt.Fprintf(a.stderr, "%s\n", w)
		}
	}
	if err != nil {
		return o.inItsUnit(err)
	}
	if _, err := o.result.WriteTo(a.stdout); err != nil {
		return err
	}
	_, err = o.advice.WriteTo(a.stderr) // what to do next follows the news it refers to
	return err
}

// commandLine is the command as it was typed, for the command log.
func (a *app) commandLine() string {
	words := make([]string, len(a.typed))
	for i, w := range a.typed {
		if words[i] = w; w == "" || strings.ContainsAny(w, " \t\n\"'\\") {
			words[i] = strconv.Quote(w)
		}
	}
	return strings.Join(words, " ")
}

// decodeWorking reads the pattern as it lies in the folder.
func (o *opened) decodeWorking() (err error) {
	if o.files, err = o.repo.Working(); err != nil {
		return err
	}
	if o.Pattern, err = o.reader.Decode(o.files); err != nil {
		return o.unreadable(err)
	}
	return nil
}

// openRepo finds and opens the pattern that is meant.
func (a *app) openRepo() (*repo.Repo, error) {
	dir := a.folder
	if dir == "" {
		dir = "."
	}
	root, err := repo.Find(dir)
	switch {
	case err == nil && a.folder != "" && !sameFolder(root, dir):
		return nil, fmt.Errorf("%s is no pattern; it only lies inside of %s", dir, root)
	case errors.Is(err, repo.ErrNoPattern) && a.folder != "":
		return nil, fmt.Errorf("%s is no pattern; start one there with `toile start %s`", dir, dir)
	case errors.Is(err, repo.ErrNoPattern):
		return nil, errors.New("there is no pattern in this folder or above it; start one with `toile start`, or name one with --pattern")
	case err != nil:
		return nil, err
	}
	return repo.Open(root)
}

func sameFolder(a, b string) bool {
	first, errA := os.Stat(a)
	second, errB := os.Stat(b)
	return errA == nil && errB == nil && os.SameFile(first, second)
}

// encode checks the pattern as it is in memory and prints its files. That
// they can be read again is part of the check.
func (o *opened) encode() (repo.Files, error) {
	for _, q := range o.Pieces {
		if err := q.Validate(); err != nil {
			return nil, err
		}
	}
	for i := range o.Seams {
		if len(o.unread) > 0 && !o.Holds(o.Seams[i].PiecesOf()) {
			continue
		}
		if err := o.ValidateSeam(&o.Seams[i]); err != nil {
			return nil, err
		}
	}
	files, err := o.reader.Encode(o.Pattern)
	if err != nil {
		return nil, err
	}
	read := o.reader.Decode
	if len(o.unread) > 0 {
		read = func(files map[string][]byte) (*pattern.Pattern, error) { return o.reader.DecodeSome(files, false) }
	}
	if _, err := read(files); err != nil {
		return nil, err
	}
	if recipes, ok := o.files[repo.RecipesFile]; ok {
		files[repo.RecipesFile] = recipes
	}
	files[repo.AttributesFile] = repo.Attributes(o.files[repo.AttributesFile])
	return files, nil
}

// write puts into the folder what differs between two encodings.
func (o *opened) write(before, after repo.Files) error {
	changed := repo.Files{}
	for name, text := range after {
		if old, ok := before[name]; !ok || !bytes.Equal(old, text) {
			changed[name] = text
		}
	}
	var removed []string
	for name := range maps.Keys(before) {
		if _, ok := after[name]; !ok {
			removed = append(removed, name)
		}
	}
	return o.repo.WriteWorking(changed, removed)
}

// absolute returns a path for messages and for naming things after folders.
func absolute(dir string) (string, error) {
	path, err := filepath.Abs(dir)
	if err != nil {
		return "", fmt.Errorf("%s: %w", dir, err)
	}
	return path, nil
}
