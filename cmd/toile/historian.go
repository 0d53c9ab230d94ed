package main

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"

	"toile/diff"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
	"toile/repo"
)

// historian says what each version changed. It reads the files that a version
// changed and no others, and those only once: the sentences are kept beside the
// pattern, for as long as it is the same build of this program that says them.
type historian struct {
	*opened
	stamp string // of this build, empty if that cannot be told
	kept  map[string]string
	fresh map[string]string
	notes map[string]notesSaid // of the versions asked for, by id

	headText string // the pattern.yaml that was read last, and what it says
	headRead *pattern.Pattern
}

// saidOf is what is kept of a version, as JSON.
type saidOf struct {
	Changed  []pieceChange `json:"changed"`
	Settings []string      `json:"settings,omitempty"`
	Notes    notesSaid     `json:"notes"`
}

func newHistorian(o *opened) *historian {
	h := &historian{opened: o, stamp: buildStamp(), fresh: map[string]string{}, notes: map[string]notesSaid{}}
	if h.stamp != "" {
		h.kept = o.repo.Said(h.stamp)
	}
	return h
}

// buildStamp tells one build of this program from another: by its file's size
// and time, which cost nothing to read.
func buildStamp() string {
	path, err := os.Executable()
	if err != nil {
		return ""
	}
	info, err := os.Stat(path)
	if err != nil {
		return ""
	}
	return fmt.Sprintf("%d %d", info.Size(), info.ModTime().UnixNano())
}

// keep keeps the sentences that were worked out now.
func (h *historian) keep() {
	if h.stamp != "" {
		h.repo.KeepSaid(h.stamp, h.fresh)
	}
}

// changes compares a version with the first of those it builds on, piece by
// changed piece; rest is what it changed besides pieces.
func (h *historian) changes(v repo.Version) (changed []pieceChange, rest []string, err error) {
	if text, ok := h.kept[v.ID]; ok {
		said := saidOf{Changed: []pieceChange{}}
		if json.Unmarshal([]byte(text), &said) == nil {
			h.notes[v.ID] = said.Notes
			return said.Changed, said.Settings, nil
		}
	}
	if changed, rest, err = h.compare(v); err != nil {
		return nil, nil, fmt.Errorf("version %d: %w", v.Number, err)
	}
	notes, err := h.notesOf(v)
	if err != nil {
		return nil, nil, err
	}
	h.notes[v.ID] = notes
	text, err := json.Marshal(saidOf{changed, rest, notes})
	h.fresh[v.ID] = string(text)
	return changed, rest, err
}

func (h *historian) compare(v repo.Version) (changed []pieceChange, rest []string, err error) {
	changed = []pieceChange{}
	altered, added, removed, err := h.repo.Changed(v)
	if err != nil {
		return nil, nil, err
	}
	now, err := h.limited(v, pieceFiles(altered, added))
	if err != nil {
		return nil, nil, err
	}
	then := pattern.New(now.Name, now.Unit)
	var parent repo.Version
	var before *repo.Version
	if len(v.Parents) > 0 {
		parent = repo.Version{ID: v.Parents[0], Number: v.Number - 1}
		before = &parent
		if then, err = h.limited(parent, pieceFiles(altered, removed)); err != nil {
			return nil, nil, err
		}
	}
	d, err := h.compareWith(then, now, [2]change.Version{{}, side(v)}, before, &v)
	if err != nil {
		return nil, nil, err
	}
	if err := h.tellTypedOf(&d, v); err != nil {
		return nil, nil, err
	}
	for _, p := range d.Pieces {
		if says := pieceSaid(p); len(says) > 0 {
			changed = append(changed, pieceChange{p.Piece, says})
		}
	}
	if slices.Contains(altered, repo.PatternFile) {
		rest, err = h.settings(parent, v)
	}
	return changed, rest, err
}

// settings compares what spans pieces, for which all of both versions is read.
func (h *historian) settings(parent, v repo.Version) ([]string, error) {
	then, err := h.patternOf(parent)
	if err != nil {
		return nil, err
	}
	now, err := h.patternOf(v)
	if err != nil {
		return nil, err
	}
	return diff.Settings(then, now), nil
}

// limited is the pattern of a version with only the pieces in these files, and
// without what spans pieces.
func (h *historian) limited(v repo.Version, files []string) (*pattern.Pattern, error) {
	head, err := h.head(v)
	if err != nil {
		return nil, err
	}
	q := pattern.New(head.Name, head.Unit)
	q.Sets = head.Sets
	slices.Sort(files)
	for _, file := range files {
		text, found, err := h.repo.ReadFile(v, file)
		if err != nil {
			return nil, err
		}
		if !found {
			continue
		}
		slug := strings.TrimSuffix(strings.TrimPrefix(file, pattern.PieceFolder), ".yaml")
		piece, err := pattern.DecodePiece(file, slug, text)
		if err != nil {
			return nil, err
		}
		q.Pieces = append(q.Pieces, piece)
	}
	return q, nil
}

// head is what pattern.yaml says in a version. It rarely changes.
func (h *historian) head(v repo.Version) (*pattern.Pattern, error) {
	text, found, err := h.repo.ReadFile(v, repo.PatternFile)
	if err != nil {
		return nil, err
	}
	if !found {
		return pattern.New("", units.Centimetre), nil
	}
	if h.headRead == nil || h.headText != string(text) {
		if h.headRead, err = pattern.DecodeHead(text); err != nil {
			return nil, err
		}
		h.headText = string(text)
	}
	return h.headRead, nil
}
