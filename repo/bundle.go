package repo

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// A bundle is one file that holds versions: a head of lines, an empty line, a
// pack (gitformat-bundle). The git program reads and writes such files too.

const (
	bundleV2 = "# v2 git bundle"
	bundleV3 = "# v3 git bundle"
	// maxBundleLine bounds a line of the head; git's own names are shorter.
	maxBundleLine = 4096
)

// bundleHead is what a bundle says before its pack.
type bundleHead struct {
	refs  map[string]plumbing.Hash
	needs []plumbing.Hash // versions that must be here already
}

// readBundleHead reads the lines up to the empty one, and no further.
func readBundleHead(in *bufio.Reader) (*bundleHead, error) {
	first, err := bundleLine(in)
	if err != nil || first != bundleV2 && first != bundleV3 {
		return nil, refuse("the file is not one that git or toile made for exchange")
	}
	b := &bundleHead{refs: map[string]plumbing.Hash{}}
	for lines := 0; ; lines++ {
		line, err := bundleLine(in)
		switch {
		case err != nil:
			return nil, refuse("the file breaks off")
		case line == "":
			return b, nil
		case lines > maxShareRefs:
			return nil, refuse("the file lists more than %d branches and names", maxShareRefs)
		}
		if err := b.add(line, first == bundleV3); err != nil {
			return nil, err
		}
	}
}

func bundleLine(in *bufio.Reader) (string, error) {
	var line []byte
	for {
		c, err := in.ReadByte()
		if err != nil {
			return "", err
		}
		if c == '\n' {
			return string(line), nil
		}
		if line = append(line, c); len(line) > maxBundleLine {
			return "", errors.New("a line is too long")
		}
	}
}

func (b *bundleHead) add(line string, v3 bool) error {
	if ability, ok := strings.CutPrefix(line, "@"); ok && v3 {
		if ability != "object-format=sha1" {
			return refuse("the file holds only parts of the versions, or names them otherwise (%s)", ability)
		}
		return nil
	}
	text, needed := strings.CutPrefix(line, "-")
	digits, name, _ := strings.Cut(text, " ")
	id, err := parseID([]byte(digits))
	if err != nil || id.IsZero() || !needed && name == "" {
		return refuse("the file's list of branches cannot be read")
	}
	if needed {
		b.needs = append(b.needs, id)
	} else {
		b.refs[name] = id
	}
	return nil
}

// bundleSource delivers from a file.
type bundleSource struct {
	f    *os.File
	in   *bufio.Reader
	head *bundleHead
	w    *watch
}

func openBundle(w *watch, path string) (*bundleSource, error) {
	info, err := os.Stat(path)
	if err == nil && !info.Mode().IsRegular() {
		err = fmt.Errorf("%s is not a file but %s", Printable(path), kindOf(info))
	}
	if err != nil {
		return nil, err
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	in := bufio.NewReader(w.reader(f))
	head, err := readBundleHead(in)
	if err != nil {
		_ = f.Close()
		return nil, fmt.Errorf("%s: %w", Printable(path), err)
	}
	return &bundleSource{f: f, in: in, head: head, w: w}, nil
}

func (b *bundleSource) listing() (*listing, error) {
	l := &listing{refs: b.head.refs}
	// Which branch the place is on is not said; HEAD's version tells it, if
	// only one branch is there.
	var on []string
	for ref, id := range b.head.refs {
		if name, ok := strings.CutPrefix(ref, headsPrefix); ok && id == b.head.refs[headFile] {
			on = append(on, name)
		}
	}
	if slices.Sort(on); len(on) > 0 {
		if slices.Contains(on, FirstBranch) {
			on[0] = FirstBranch
		}
		l.can = []string{"symref=HEAD:" + headsPrefix + on[0]}
	}
	return l, nil
}

func (b *bundleSource) needs() []plumbing.Hash { return b.head.needs }

func (b *bundleSource) deliver(_ *listing, _, _ []plumbing.Hash) (io.Reader, error) { return b.in, nil }

func (b *bundleSource) close(failed error) error {
	_ = b.f.Close()
	return b.w.why(failed)
}

// bundleAt finds the one file of a place: the file itself, or the one in the
// folder. made is its name where there is none yet.
func bundleAt(path, made string) (file string, there bool, err error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist) && strings.HasSuffix(path, bundleEnding):
		if !isFolder(filepath.Dir(path)) {
			return "", false, noFolder(filepath.Dir(path))
		}
		return path, false, nil
	case errors.Is(err, fs.ErrNotExist):
		return "", false, noFolder(path)
	case err != nil:
		return "", false, err
	case !info.IsDir():
		return path, true, nil
	}
	found, err := filepath.Glob(filepath.Join(globEscape(path), "*"+bundleEnding))
	switch {
	case err != nil:
		return "", false, err
	case len(found) == 1:
		return found[0], true, nil
	case len(found) > 1:
		return "", false, fmt.Errorf("%s holds %d files that end in %s: %s; name the one you mean, as in %s", Printable(path), len(found), bundleEnding,
			strings.Join(bundlesIn(path), ", "), Printable(found[0]))
	}
	return filepath.Join(path, made+bundleEnding), false, nil
}

// noFolder says that a folder is not there; errors.Is finds fs.ErrNotExist.
func noFolder(path string) error { return &noFolderError{path} }

type noFolderError struct{ path string }

func (e *noFolderError) Error() string {
	return fmt.Sprintf("there is no folder %s; is the stick in?", Printable(e.path))
}

func (e *noFolderError) Is(target error) bool { return target == fs.ErrNotExist }

func globEscape(path string) string {
	if os.PathSeparator == '\\' {
		return path // there a backslash divides folders
	}
	return strings.NewReplacer(`\`, `\\`, `*`, `\*`, `?`, `\?`, `[`, `\[`).Replace(path)
}

// tempBundle begins the names of unfinished files beside a place's file.
func tempBundle(file string) string {
	return filepath.Join(filepath.Dir(file), ".toile-"+filepath.Base(file)+"-")
}

// writeBundle writes a file of whole versions: temporary file, sync, rename. head
// is the version that somebody sees who makes a copy.
func (r *Repo) writeBundle(file string, refs map[string]plumbing.Hash, head plumbing.Hash) error {
	var tips []plumbing.Hash
	for _, id := range refs {
		tips = append(tips, id)
	}
	s, err := r.packFor(tips, nil)
	if err != nil {
		return err
	}
	defer s.discard()
	in, err := s.open()
	if err != nil {
		return err
	}
	defer in.Close()
	temp := tempBundle(file) + randomName()
	out, err := r.ops.Create(temp, 0o666)
	if err != nil {
		return cannotWrite(filepath.Dir(file), err)
	}
	if err := fillBundle(out, in, refs, head); err != nil {
		_ = r.ops.Remove(temp)
		return cannotWrite(filepath.Dir(file), fmt.Errorf("%s could not be written: %w", Printable(file), bare(err)))
	}
	if err := r.ops.Rename(temp, file); err != nil {
		_ = r.ops.Remove(temp)
		return err
	}
	if err := r.ops.SyncFolder(filepath.Dir(file)); err != nil {
		r.warn(fmt.Sprintf("%s is written, but the disk did not confirm it (%v); look at it before you take the stick out", Printable(file), bare(err)))
	}
	return nil
}

func fillBundle(out outFile, pack io.Reader, refs map[string]plumbing.Hash, head plumbing.Hash) error {
	var b strings.Builder
	b.WriteString(bundleV2 + "\n")
	if !head.IsZero() {
		b.WriteString(head.String() + " " + headFile + "\n")
	}
	for _, ref := range slices.Sorted(mapKeys(refs)) {
		b.WriteString(refs[ref].String() + " " + ref + "\n")
	}
	b.WriteString("\n")
	_, err := io.Copy(out, io.MultiReader(strings.NewReader(b.String()), pack))
	if err == nil {
		err = out.Sync()
	}
	return errors.Join(err, out.Close())
}
