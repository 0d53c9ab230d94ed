package repo

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
)

// Going to another branch lays files into the folder that can be made again from
// its version at any time. They are not waited for until they are on the disk: a
// note that is, made before they are put in place, says which they are, and stays
// until they are known to be there. If the machine stops before, a command finds
// the note and makes again what came out torn. What somebody saved since is told
// from that by its mark, and stays.

const (
	laidFile = "laid"
	// laidFor is how long after they were laid files are taken to be on the way to
	// the disk. Systems send on what was written within half a minute.
	laidFor = time.Minute
	// maxLaid is how great the note grows before the files are waited for, bytes.
	maxLaid = 64 << 10
	// tornFor is how long ago a file must have been written at least that is taken
	// for torn by what it holds: an editor may be at a younger one.
	tornFor = 10 * time.Second
)

// laidNote is what one command laid, a line of the note.
type laidNote struct {
	boot string // of the system's running since it was started
	time time.Time
	list string // the files, as JSON
}

// laidPart is a file as it was laid: its content's id, and its mark.
type laidPart struct {
	Name     string `json:"name"`
	ID       string `json:"id"`
	Inode    uint64 `json:"inode"`
	Modified int64  `json:"modified"` // ns since 1970
}

// note is the line for the files of a plan that were not waited for, empty where
// there are none.
func (p *workingPlan) note() (string, error) {
	var parts []laidPart
	for _, c := range p.changes {
		if c.laid {
			parts = append(parts, laidPart{c.name, c.id.String(), inodeOf(c.staged.info), c.staged.info.ModTime().UnixNano()})
		}
	}
	if len(parts) == 0 {
		return "", nil
	}
	list, err := json.Marshal(parts)
	return laidNote{p.r.boot, time.Now(), string(list)}.line(), err
}

func (n laidNote) line() string {
	body := fmt.Sprintf("%s %d %s", n.boot, n.time.UnixNano(), n.list)
	return fmt.Sprintf("%08x %s\n", crc32.ChecksumIEEE([]byte(body)), body)
}

// parseLaid reads a line.
func parseLaid(line string) (n laidNote, ok bool) {
	sum, body, _ := strings.Cut(line, " ")
	boot, rest, _ := strings.Cut(body, " ")
	when, list, _ := strings.Cut(rest, " ")
	ns, err := strconv.ParseInt(when, 10, 64)
	return laidNote{boot, time.Unix(0, ns), list}, err == nil && new(summer).sums(sum, body)
}

func (n laidNote) files() (parts []laidPart, err error) {
	return parts, json.Unmarshal([]byte(n.list), &parts)
}

// noteLaid makes a note durable.
func (r *Repo) noteLaid(line string) error {
	file := r.own(laidFile)
	fresh := !exists(file)
	// The leading line end closes a line that an earlier death tore.
	if err := r.ops.AppendDurable(file, []byte("\n"+line)); err != nil || !fresh {
		return err
	}
	return r.ops.SyncFolder(filepath.Dir(file))
}

// readLaid reads the notes in force. A torn line was never acted upon.
func (r *Repo) readLaid() (notes []laidNote, size int64, err error) {
	content, err := os.ReadFile(r.own(laidFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, 0, nil
	}
	for line := range strings.Lines(string(content)) {
		if n, ok := parseLaid(strings.TrimSuffix(line, "\n")); ok {
			notes = append(notes, n)
		}
	}
	return notes, int64(len(content)), err
}

// elsewhen tells whether files were laid before the system was last started.
func (r *Repo) elsewhen(notes []laidNote) bool {
	return slices.ContainsFunc(notes, func(n laidNote) bool { return n.boot != r.boot })
}

// mendLaid ends the notes where the time has come: files that are torn are made
// again, all are waited for, and the notes go. It runs with our lock held.
func (r *Repo) mendLaid() error {
	notes, size, err := r.readLaid()
	if err != nil || size == 0 {
		return err
	}
	ripe := size > maxLaid || len(notes) == 0 || r.elsewhen(notes)
	for _, n := range notes {
		age := time.Since(n.time)
		ripe = ripe || age > laidFor || age < 0
	}
	if !ripe {
		return nil
	}
	parts := map[string][]laidPart{}
	for _, n := range notes {
		files, err := n.files()
		if err != nil {
			return err // its checksum holds, so that it is of another toile
		}
		for _, part := range files {
			parts[part.Name] = append(parts[part.Name], part)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(parts)) {
		if err := r.mendPart(name, parts[name], r.elsewhen(notes)); err != nil {
			return fmt.Errorf("%s: it did not reach the disk whole when the machine stopped, and cannot be made again: %w", name, err)
		}
	}
	if err := r.awaitLaid(slices.Sorted(maps.Keys(parts))); err != nil {
		return err
	}
	return r.ops.Overwrite(r.own(laidFile), nil)
}

// awaitLaid waits for files, and then for their names.
func (r *Repo) awaitLaid(names []string) error {
	var files, in []string
	for _, name := range names {
		file := filepath.Join(r.root, filepath.FromSlash(name))
		if info, err := os.Lstat(file); err != nil || !info.Mode().IsRegular() || CheckPath(name) != nil {
			continue // removed since, or somebody's link
		}
		files = append(files, file)
		if folder := filepath.Dir(file); !slices.Contains(in, folder) {
			in = append(in, folder)
		}
	}
	var syncs []func() error
	for _, file := range files {
		syncs = append(syncs, func() error {
			if err := r.ops.SyncFile(file); !errors.Is(err, fs.ErrNotExist) && !errors.Is(err, fs.ErrPermission) {
				return err
			}
			return nil // removed or taken by somebody since
		})
	}
	if err := r.ops.Together(syncs); err != nil {
		return err
	}
	return syncFolders(r.ops, in)
}

// mendPart makes a file again where it is torn. parts are what was laid there, the
// last one last; restarted says that the machine has been stopped since.
func (r *Repo) mendPart(name string, parts []laidPart, restarted bool) error {
	if CheckPath(name) != nil || r.checkFolder(path.Dir(name)) != nil {
		return nil
	}
	file := filepath.Join(r.root, filepath.FromSlash(name))
	mark, _ := markOf(file)
	content, info, err := readRegular(name, file) // info is nil where it is missing
	missing := errors.Is(err, fs.ErrNotExist)
	if err != nil && !missing {
		return nil // a link or the like is somebody's
	}
	id := plumbing.ComputeHash(plumbing.BlobObject, content).String()
	torn := laidPart{}
	for _, part := range parts {
		switch {
		case !missing && part.ID == id:
			return nil
		case !missing && part.Inode == mark.inode && part.Modified == mark.modified:
			torn = part // nobody has written since, and it is not what was written
		}
	}
	if torn.ID != "" {
		return r.makeAgain(file, torn, mark, info)
	}
	if !restarted {
		return nil // somebody's work
	}
	return r.mendDoubtful(file, parts, content, mark, info)
}

// mendDoubtful is mendPart after the machine has been stopped, for a file that does
// not bear the mark of what was laid: it is missing, info being nil, or some file
// systems may have lost the mark as well. It becomes what the version has that the
// folder is at.
func (r *Repo) mendDoubtful(file string, parts []laidPart, content []byte, mark fileMark, info fs.FileInfo) error {
	again := parts[len(parts)-1]
	again.Inode = 0
	now, err := r.contentsOfCommit(r.position().tip)
	if err != nil {
		return err
	}
	id, has := now.files[again.Name]
	laid := slices.ContainsFunc(parts, func(part laidPart) bool { return part.ID == id.String() })
	if has {
		again.ID = id.String()
	}
	switch {
	case info == nil && has && laid:
	case info != nil && time.Since(info.ModTime()) > tornFor && (len(content) == 0 || bytes.Contains(content, []byte{0})):
	default:
		return nil // somebody's work
	}
	return r.makeAgain(file, again, mark, info)
}

// makeAgain writes a file as it was laid, unless somebody has been at it since it
// had that mark. One that is not known for certain to be torn stays beside it.
func (r *Repo) makeAgain(file string, part laidPart, mark fileMark, info fs.FileInfo) error {
	content, err := r.object(plumbing.BlobObject, plumbing.NewHash(part.ID))
	if err != nil {
		return err
	}
	perm := fs.FileMode(0o666)
	if info != nil {
		perm = info.Mode().Perm() &^ executable
	}
	temp, _, err := r.stageWorking(content, perm)
	if err != nil {
		return err
	}
	if now, _ := markOf(file); now != mark {
		return r.ops.Remove(temp)
	}
	said := fmt.Sprintf("%s had not reached the disk whole when the machine stopped; it is as in its version again", part.Name)
	if info != nil && info.Size() > 0 && (part.Inode != mark.inode || part.Modified != mark.modified) {
		aside := file + "." + randomName() + ".torn"
		if err := r.ops.Rename(file, aside); err != nil {
			return errors.Join(err, r.ops.Remove(temp))
		}
		said += fmt.Sprintf("; what it held is in %s", filepath.Base(aside))
	}
	if err := r.ops.Rename(temp, file); err != nil {
		return errors.Join(err, r.ops.Remove(temp))
	}
	r.warn(said)
	return r.ops.SyncFolder(filepath.Dir(file))
}

// mendBeforeReading lets a command that only reads find whole files after the
// machine has been stopped. Where the pattern cannot be locked it reads what there
// is.
func (r *Repo) mendBeforeReading() {
	if r.held != nil {
		return
	}
	notes, _, err := r.readLaid()
	if err != nil || !r.elsewhen(notes) {
		return
	}
	if unlock, err := r.Lock(); err == nil {
		unlock()
	}
}
