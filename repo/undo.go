package repo

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
)

// The command log. Each command that changes the pattern first keeps the folder
// as it lies there, held by a reference of its own, so that Undo can return to
// it. Step N is the record refs/toile/undo/N:
//
//   - its files are those of the folder before the command, hand edits
//     included;
//   - its parents are the last versions of all branches at that time, so that a
//     git program that clears up leaves them, and what an undo drops, alone;
//   - its message says which command it was and where branches, names and
//     pending recipes stood (stepRecord).
//
// What the command changed is noted when it ends, in the file endsFile. Those
// references are under no branch and are never sent.

const (
	undoPrefix = "refs/toile/undo/"
	endsFile   = "undo"
	// maxSteps is how many commands can be taken back. A hundred is more than a
	// day's work, and their records take the room of a hundred small files.
	maxSteps = 100
	// maxPacked is how many steps too old may stay in git's packed list before
	// that list is written anew for them.
	maxPacked = 20
)

// stepAuthor signs the records of the command log.
var stepAuthor = Author{Name: "toile"}

// stepRecord is what a step's message holds, as JSON.
type stepRecord struct {
	Command   string    `json:"command"` // as it was typed
	Time      time.Time `json:"time"`
	TakesBack int       `json:"takes_back,omitempty"` // the step that this undo takes back
	Redo      bool      `json:"redo,omitempty"`       // that step is an undo itself
	Folder    bool      `json:"folder"`               // the record's files are the folder's
	Before    place     `json:"before"`
}

// place is where branches, names and pending recipes stand. Ids are hexadecimal.
type place struct {
	Branch  string            `json:"branch"` // empty where the folder is on none
	Heads   map[string]string `json:"heads"`
	Names   map[string]string `json:"names"`
	There   map[string]string `json:"there,omitempty"` // what others are known to have
	Pending []byte            `json:"pending,omitempty"`
}

// pendingStep is the command that runs under the lock.
type pendingStep struct {
	record stepRecord
	number int                      // 0 until it is noted
	id     plumbing.Hash            // of its record
	files  map[string]plumbing.Hash // the folder before, nil if not looked at
}

// Begin says which command runs. The first thing it changes is preceded by a
// step in the command log; a command that changes nothing leaves none. End must
// follow, with the lock still held where the caller took it before changing
// anything. Where only methods of the Repo lock, the step ends with their lock.
func (r *Repo) Begin(command string, when time.Time) {
	r.step = &pendingStep{record: stepRecord{Command: command, Time: when}}
}

// End notes what the command changed. A step that changed nothing goes. What a
// command changed that failed is taken back first, so that it leaves the pattern
// as it was however many steps it had made; what cannot be taken back stays in
// the log, for Undo.
func (r *Repo) End(failed bool) {
	if r.held != nil {
		r.endStep(failed)
	}
	r.step = nil
}

// endWithLock ends the step where the lock is let go before End; what the
// command changes under another lock is a step of its own.
func (r *Repo) endWithLock() {
	if s := r.step; s != nil && s.number > 0 {
		r.endStep(false)
		r.Begin(s.record.Command, s.record.Time)
	}
}

func (r *Repo) endStep(failed bool) {
	s := r.step
	if s == nil || s.number == 0 {
		return
	}
	made, err := r.changedSince(s)
	if err == nil && failed && !made.empty() {
		r.giveUp(s, made)
		ours := made.Files
		made, err = r.changedSince(s)
		maps.DeleteFunc(made.Files, func(name, _ string) bool { _, ok := ours[name]; return !ok })
	}
	if err == nil && made.empty() {
		err = r.dropStep(s.number)
	} else if err == nil {
		err = r.appendEnd(s.number, made)
	}
	if err != nil {
		r.warn(fmt.Sprintf("what was done is kept; only the note for `toile undo` could not be finished (%v)", err))
	}
}

// beforeChange notes the step, once, before anything is changed. folder says
// that files in the folder, or the branch, may change.
func (r *Repo) beforeChange(folder bool) error { return r.beforeStoring(folder, nil) }

// beforeStoring is beforeChange, and stores what the command is about to store with
// the step; with is what is made durable together with it all.
func (r *Repo) beforeStoring(folder bool, drafts []draft, with ...func() error) error {
	s := r.step
	if r.held == nil || s == nil || s.number > 0 && (s.record.Folder || !folder) {
		return r.keep(drafts, with...)
	}
	if err := r.noteStep(s, folder, drafts, with); err != nil {
		return fmt.Errorf("the way back could not be kept, so nothing was changed: %w", err)
	}
	return nil
}

func (r *Repo) noteStep(s *pendingStep, folder bool, besides []draft, with []func() error) error {
	number := s.number
	if number == 0 {
		numbers, err := r.stepNumbers()
		if err != nil {
			return err
		}
		if number = 1; len(numbers) > 0 {
			number = numbers[len(numbers)-1] + 1
		}
		if s.record.Before, err = r.place(); err != nil {
			return err
		}
		if err := r.dropOldSteps(numbers, number); err != nil {
			return err
		}
	}
	s.record.Folder = folder
	drafts, files, err := r.draftStep(s.record)
	if err != nil {
		return err
	}
	id := drafts[len(drafts)-1].id
	if err := r.keepStep(number, id, append(drafts, besides...), with); err != nil {
		return err
	}
	s.number, s.id, s.files = number, id, files
	return nil
}

// draftStep makes the objects of a step, its record last.
func (r *Repo) draftStep(record stepRecord) (drafts []draft, files map[string]plumbing.Hash, err error) {
	base, err := r.contentsOfCommit(r.held.position.tip)
	if err != nil {
		return nil, nil, err
	}
	var changed Files
	var same map[string]plumbing.Hash
	if record.Folder {
		if changed, same, err = r.folderBeside(base); err != nil {
			return nil, nil, err
		}
	}
	now, drafts, top := base.plan(changed, same)
	message, err := json.Marshal(record)
	if err != nil {
		return nil, nil, err
	}
	var parents []plumbing.Hash
	for _, head := range slices.Sorted(maps.Keys(record.Before.Heads)) {
		if id := plumbing.NewHash(record.Before.Heads[head]); !slices.Contains(parents, id) {
			parents = append(parents, id)
		}
	}
	title := "before: " + Printable(firstLine(record.Command)) + "\n\n"
	when := record.Time
	if when.Unix() < 0 || when.Year() > 9999 {
		when = time.Now()
	}
	content, err := encodeCommit(top, parents, stepAuthor, when, title+string(message)+"\n")
	if err != nil {
		return nil, nil, err
	}
	if record.Folder {
		files = now.files
	}
	return append(drafts, newDraft(plumbing.CommitObject, content)), files, nil
}

// place reads where branches, names and pending recipes stand now. Those that
// stand for another one in git go along with that.
func (r *Repo) place() (p place, err error) {
	if p.Branch, _, err = r.head(); err != nil {
		return p, err
	}
	elsewhere := func(string) (map[string]plumbing.Hash, error) { return r.elsewhere() }
	for _, list := range []struct {
		from   func(string) (map[string]plumbing.Hash, error)
		prefix string
		into   *map[string]string
	}{{r.listRefs, headsPrefix, &p.Heads}, {r.listRefs, tagsPrefix, &p.Names}, {elsewhere, "", &p.There}} {
		refs, err := list.from(list.prefix)
		if err != nil {
			return p, err
		}
		*list.into = map[string]string{}
		for name, id := range refs {
			if list.prefix == "" || !r.standsForAnother(list.prefix+name) {
				(*list.into)[name] = id.String()
			}
		}
	}
	p.Pending, err = r.Pending()
	return p, err
}

// stepChanges is what a command changed. An empty id says that it is gone.
type stepChanges struct {
	Branch  *string           `json:"branch,omitempty"` // the branch afterwards
	Heads   map[string]string `json:"heads,omitempty"`
	Names   map[string]string `json:"names,omitempty"`
	Files   map[string]string `json:"files,omitempty"`
	There   map[string]string `json:"there,omitempty"` // all that others were known to have
	Pending bool              `json:"pending,omitempty"`
}

func (c stepChanges) empty() bool {
	return c.Branch == nil && len(c.Heads)+len(c.Names)+len(c.Files) == 0 && !c.Pending
}

func (r *Repo) changedSince(s *pendingStep) (c stepChanges, err error) {
	now, err := r.place()
	if err != nil {
		return c, err
	}
	before := s.record.Before
	if now.Branch != before.Branch {
		c.Branch = &now.Branch
	}
	c.Heads, c.Names = differing(before.Heads, now.Heads), differing(before.Names, now.Names)
	c.There, c.Pending = now.There, string(now.Pending) != string(before.Pending)
	if s.files == nil {
		return c, nil
	}
	if seen := r.held.seen; seen != nil { // what an editor saved meanwhile is not ours
		c.Files, err = r.touchedSince(s.files, seen)
		return c, err
	}
	folder, err := r.lookFolder(true)
	if err != nil {
		return c, err
	}
	c.Files = differing(hexIDs(s.files), folder.FileIDs())
	return c, nil
}

// giveUp takes back what a command changed that failed.
func (r *Repo) giveUp(s *pendingStep, made stepChanges) {
	step := &loggedStep{number: s.number, id: s.id, record: s.record, ended: &made}
	t, err := r.planTakeBack(step)
	if err == nil {
		_, err = r.carryOutTaking(t)
	}
	if err != nil {
		r.warn(fmt.Sprintf("the command had begun to change the pattern, and that could not be taken back (%v); `toile undo` tries again", err))
	}
}

// differing is the later of two maps where it differs, with an empty text for
// what only the earlier has.
func differing(before, now map[string]string) map[string]string {
	out := map[string]string{}
	for name, id := range now {
		if before[name] != id {
			out[name] = id
		}
	}
	for name := range before {
		if _, stays := now[name]; !stays {
			out[name] = ""
		}
	}
	return out
}

func idsOf(files Files) map[string]plumbing.Hash {
	ids := make(map[string]plumbing.Hash, len(files))
	for name, content := range files {
		ids[name] = plumbing.ComputeHash(plumbing.BlobObject, content)
	}
	return ids
}

func hexIDs(ids map[string]plumbing.Hash) map[string]string {
	out := make(map[string]string, len(ids))
	for name, id := range ids {
		out[name] = id.String()
	}
	return out
}

// decodeStep reads a step's message.
func decodeStep(message string) (record stepRecord, err error) {
	_, text, ok := strings.Cut(message, "\n\n")
	if !ok {
		return record, fmt.Errorf("it holds no record")
	}
	return record, json.Unmarshal([]byte(text), &record)
}
