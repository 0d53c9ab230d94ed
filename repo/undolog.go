package repo

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
)

// LoggedCommand is a command of the log that Undo could take back.
type LoggedCommand struct {
	Command string // as it was typed, ready to show
	Time    time.Time
}

// CommandLog lists the commands that Undo would take back one after the other,
// the last first, and those that Redo would make again.
func (r *Repo) CommandLog() (undo, redo []LoggedCommand, err error) {
	stack, err := r.readSteps()
	if err != nil {
		return nil, nil, err
	}
	said := func(steps []*loggedStep) (out []LoggedCommand) {
		for _, s := range slices.Backward(steps) {
			out = append(out, LoggedCommand{Printable(s.record.Command), s.record.Time})
		}
		return out
	}
	return said(stack.undo), said(stack.redo), nil
}

// loggedStep is a step of the log as it is read.
type loggedStep struct {
	number int
	id     plumbing.Hash
	record stepRecord
	ended  *stepChanges // nil where the command was broken off
	undo   *loggedStep  // the undo that took it back, on the stack of redo
}

// stepStack orders the log: what can be taken back, what can be made again, the
// next one last.
type stepStack struct{ undo, redo []*loggedStep }

// push adds a step. A command that is no undo ends what could be made again. An
// undo that was broken off counts as not begun, so that it can be done again.
func (t *stepStack) push(s *loggedStep, byNumber map[int]*loggedStep) {
	switch {
	case s.record.TakesBack == 0:
		t.undo, t.redo = append(t.undo, s), nil
	case s.ended == nil:
	case s.record.Redo:
		if n := len(t.redo); n > 0 && t.redo[n-1].undo.number == s.record.TakesBack {
			t.undo, t.redo = append(t.undo, t.redo[n-1]), t.redo[:n-1]
		}
	default:
		if taken := byNumber[s.record.TakesBack]; taken != nil {
			t.undo = slices.DeleteFunc(t.undo, func(u *loggedStep) bool { return u == taken })
			taken.undo = s
			t.redo = append(t.redo, taken)
		}
	}
}

// readSteps reads the whole log. A record that cannot be read is left out: it
// is a way back less, and no reason to stop.
func (r *Repo) readSteps() (*stepStack, error) {
	refs, err := r.listRefs(undoPrefix)
	if err != nil {
		return nil, err
	}
	ends := r.readEnds()
	byNumber := map[int]*loggedStep{}
	for name, id := range refs {
		n, ok := asNumber(name)
		if !ok {
			continue
		}
		c, err := r.commit(id)
		if err != nil {
			continue
		}
		s := &loggedStep{number: n, id: id, ended: ends[n]}
		if s.record, err = decodeStep(c.Message); err == nil {
			byNumber[n] = s
		}
	}
	t := &stepStack{}
	for _, n := range keysOf(byNumber) {
		t.push(byNumber[n], byNumber)
	}
	return t, nil
}

func keysOf(m map[int]*loggedStep) []int {
	var out []int
	for n := range m {
		out = append(out, n)
	}
	slices.Sort(out)
	return out
}

// stepNumbers lists the steps that there are, ascending.
func (r *Repo) stepNumbers() ([]int, error) {
	entries, err := os.ReadDir(r.path(undoPrefix))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	var numbers []int
	for _, e := range entries {
		if n, ok := asNumber(e.Name()); ok {
			numbers = append(numbers, n)
		}
	}
	packed, err := r.packedRefs()
	if err != nil {
		return nil, err
	}
	for ref := range packed {
		if name, ok := strings.CutPrefix(ref, undoPrefix); ok {
			if n, ok := asNumber(name); ok {
				numbers = append(numbers, n)
			}
		}
	}
	slices.Sort(numbers)
	return slices.Compact(numbers), nil
}

func stepRef(number int) string { return undoPrefix + strconv.Itoa(number) }

// keepStep stores a step's objects, and others with them, and makes its reference.
// That name is new, so that no git program can be at it, and it is written beside
// and renamed like everything else. A power cut may cost the name, which is a way
// back less, and nothing else; but the step of an undo may be the only place that
// holds what somebody edited by hand, and is made durable.
func (r *Repo) keepStep(number int, id plumbing.Hash, drafts []draft, with []func() error) error {
	s := &staging{ops: r.ops}
	defer s.discard()
	ref, err := s.add(r.own(tempFolder), "", []byte(id.String()+"\n"), 0o666)
	if err != nil {
		return err
	}
	if err := r.keepWith(s, drafts, with...); err != nil {
		return err
	}
	path := r.path(stepRef(number))
	err = inFolder(r.ops, filepath.Dir(path), func() error { return s.place(ref, path) })
	if err != nil || r.step.record.TakesBack == 0 {
		return err
	}
	return r.ops.SyncFolder(filepath.Dir(path))
}

// dropOldSteps takes away what is more than maxSteps before the next one.
func (r *Repo) dropOldSteps(numbers []int, next int) error {
	var packedToo []int
	for _, n := range numbers {
		if n > next-maxSteps {
			break
		}
		err := r.ops.Remove(r.path(stepRef(n)))
		if errors.Is(err, fs.ErrNotExist) {
			packedToo = append(packedToo, n)
		} else if err != nil {
			return err
		}
	}
	if len(packedToo) < maxPacked {
		return nil
	}
	return r.unpackSteps(packedToo)
}

// unpackSteps takes steps out of git's packed list. Where a git program has
// locked it they stay for the next time.
func (r *Repo) unpackSteps(numbers []int) error {
	gone := map[string]bool{}
	for _, n := range numbers {
		gone[stepRef(n)] = true
	}
	tip := r.held.position.tip
	if err := r.announce(tip, tip, announced{path: packedFile + ".lock"}); err != nil {
		return err
	}
	defer r.settled()
	err := r.dropPacked(func(ref string) bool { return gone[ref] })
	if locked := (*LockFileError)(nil); errors.As(err, &locked) {
		return nil
	}
	return err
}

// dropStep takes the newest step away again: its command changed nothing.
func (r *Repo) dropStep(number int) error {
	err := r.ops.Remove(r.path(stepRef(number)))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

// endLine notes what a step changed, in a line with its own checksum.
func endLine(number int, made stepChanges) (string, error) {
	text, err := json.Marshal(made)
	if err != nil {
		return "", err
	}
	body := fmt.Sprintf("%d %s", number, text)
	return fmt.Sprintf("%08x %s\n", crc32.ChecksumIEEE([]byte(body)), body), nil
}

func parseEnd(line string) (number int, made *stepChanges, ok bool) {
	sum, body, _ := strings.Cut(line, " ")
	digits, text, _ := strings.Cut(body, " ")
	number, isNumber := asNumber(digits)
	if !isNumber || !new(summer).sums(sum, body) {
		return 0, nil, false
	}
	made = &stepChanges{}
	return number, made, json.Unmarshal([]byte(text), made) == nil
}

// readEnds reads what the steps changed; the last line of a step counts.
func (r *Repo) readEnds() map[int]*stepChanges {
	ends := map[int]*stepChanges{}
	content, err := os.ReadFile(r.own(endsFile))
	if err != nil {
		return ends // none yet, or none to be had: undo then works out what it can
	}
	for line := range strings.Lines(string(content)) {
		if n, made, ok := parseEnd(strings.TrimSuffix(line, "\n")); ok {
			ends[n] = made
		}
	}
	return ends
}

// maxEnds is how great the file of ends grows before the old ones go, in bytes.
const maxEnds = 1 << 20

func (r *Repo) appendEnd(number int, made stepChanges) error {
	line, err := endLine(number, made)
	if err != nil {
		return err
	}
	path := r.own(endsFile)
	if info, err := os.Stat(path); err == nil && info.Size() > maxEnds {
		if err := r.shortenEnds(path, number); err != nil {
			return err
		}
	}
	// The leading line end closes a line that an earlier death tore.
	return r.ops.Append(path, []byte("\n"+line))
}

// shortenEnds leaves the ends of steps that are still there.
func (r *Repo) shortenEnds(path string, number int) error {
	ends := r.readEnds()
	var b bytes.Buffer
	for n := number - maxSteps; n < number; n++ {
		if made := ends[n]; made != nil {
			line, err := endLine(n, *made)
			if err != nil {
				return err
			}
			b.WriteString(line)
		}
	}
	temp, _, err := stage(r.ops, r.own(tempFolder), "", b.Bytes(), 0o666)
	if err != nil {
		return err
	}
	if err := r.ops.Rename(temp, path); err != nil {
		_ = r.ops.Remove(temp)
		return err
	}
	return nil
}
