package repo

import (
	"bytes"
	"cmp"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/go-git/go-git/v5/plumbing/filemode"
	"github.com/go-git/go-git/v5/plumbing/format/index"
)

const (
	indexFile    = "index"
	indexVersion = 2
	// indexVersionFlags is the first that has room for "intent to add" and "skip
	// worktree" (gitformat-index).
	indexVersionFlags = 3
	// maxIndex bounds what is read of an index that another program wrote.
	maxIndex = 64 << 20
)

// staleIndex reports whether git's index holds other files of the layout than
// the version.
func (r *Repo) staleIndex(now *contents) bool {
	old := r.readIndex()
	if old == nil {
		return true
	}
	held := 0
	for _, e := range old.Entries {
		if CheckPath(e.Name) != nil {
			continue
		}
		if id, ok := now.files[e.Name]; !ok || id != e.Hash || e.Stage != 0 {
			return true
		}
		held++
	}
	return held != len(now.files)
}

func (r *Repo) encodeIndex(before, now *contents, stats map[string]fileStat) ([]byte, error) {
	entries, err := r.otherEntries(before, now, stats)
	if err != nil {
		return nil, err
	}
	for name, id := range now.files {
		e := &index.Entry{Name: name, Hash: id, Mode: filemode.Regular}
		fillStat(e, filepath.Join(r.root, filepath.FromSlash(name)), stats[name])
		entries = append(entries, e)
	}
	slices.SortFunc(entries, func(a, b *index.Entry) int {
		return cmp.Or(strings.Compare(a.Name, b.Name), cmp.Compare(a.Stage, b.Stage))
	})
	version := uint32(indexVersion)
	if slices.ContainsFunc(entries, func(e *index.Entry) bool { return e.IntentToAdd || e.SkipWorktree }) {
		version = indexVersionFlags
	}
	var b bytes.Buffer
	if err := index.NewEncoder(&b).Encode(&index.Index{Version: version, Entries: entries}); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// otherEntries are the entries outside the layout. What a git program has put
// into the index stays; where the index agreed with the version before, it is
// brought to the version now.
func (r *Repo) otherEntries(before, now *contents, stats map[string]fileStat) ([]*index.Entry, error) {
	was, err := r.flatten(before)
	if err != nil {
		return nil, err
	}
	is, err := r.flatten(now)
	if err != nil {
		return nil, err
	}
	old := r.readIndex()
	if old == nil {
		if err := r.unreadableIndex(); err != nil {
			return nil, err
		}
		old = &index.Index{}
		was = nil // no index: everything is taken from the version
	}
	var entries []*index.Entry
	written := r.indexWritten()
	entryOf := func(name string, e treeEntry) *index.Entry { return r.entryOf(name, e, stats[name]) }
	staged := map[string]bool{}
	for _, e := range old.Entries {
		if CheckPath(e.Name) == nil {
			continue
		}
		staged[e.Name] = true
		if e.Stage != 0 { // a conflict that is not decided yet stays one
			entries = append(entries, e)
			continue
		}
		next, stays := is[e.Name]
		switch {
		case was[e.Name].id != e.Hash || stays && next == was[e.Name]:
			if e.ModifiedAt.Unix() >= written.Unix() {
				e.Size = 0
			}
			entries = append(entries, e)
		case stays:
			entries = append(entries, entryOf(e.Name, next))
		}
	}
	for name, e := range is {
		if _, known := was[name]; !known && !staged[name] {
			entries = append(entries, entryOf(name, e))
		}
	}
	return entries, nil
}

// indexWritten is when the index was written. What changed no earlier may have
// changed once more in the same second without a trace, for git programs compare
// whole seconds unless they were built otherwise. They read such a file again
// while the index is no younger than it, and where its size is stored as 0, as
// git does it for an index written anew ("racy git" in git's technical
// documentation).
func (r *Repo) indexWritten() time.Time {
	info, err := os.Stat(r.path(indexFile))
	if err != nil {
		return time.Time{}
	}
	return info.ModTime()
}

// entryOf is an entry beside the pattern's own; stat describes the file where it
// is known to be just that.
func (r *Repo) entryOf(name string, e treeEntry, stat fileStat) *index.Entry {
	mode, err := strconv.ParseUint(e.mode, 8, 32)
	if err != nil {
		mode = uint64(filemode.Regular) // a mode that git would not read either
	}
	entry := &index.Entry{Name: name, Hash: e.id, Mode: filemode.FileMode(mode)}
	fillStat(entry, filepath.Join(r.root, filepath.FromSlash(name)), stat)
	return entry
}

// readIndex returns nil where there is no index, or none that can be read.
func (r *Repo) readIndex() *index.Index {
	info, err := os.Stat(r.path(indexFile))
	if err != nil || info.Size() > maxIndex {
		return nil
	}
	content, err := os.ReadFile(r.path(indexFile))
	if err != nil {
		return nil
	}
	i := &index.Index{}
	if err := index.NewDecoder(bytes.NewReader(content)).Decode(i); err != nil {
		return nil
	}
	return i
}

// fileStat describes a working file for git's index: what was known of it when it
// was looked at, nothing at all in the zero one.
type fileStat struct {
	info fs.FileInfo
	mark fileMark // in place of info, where it is settled
}

func (g glance) stat() fileStat {
	if g.settled {
		return fileStat{mark: g.mark}
	}
	return fileStat{info: g.info}
}

// workingStats describes the working files that are exactly those of a version.
func (r *Repo) workingStats(c *contents) map[string]fileStat {
	stats := map[string]fileStat{}
	for name, id := range c.files {
		if g, err := r.lookWorking(name, false); err == nil && g.id == id {
			stats[name] = g.stat()
		}
	}
	return stats
}
