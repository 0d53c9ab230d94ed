package repo

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// NotAgreedError says that nobody has seen yet what goes out to this place, all
// of it or what is in Unseen.
type NotAgreedError struct {
	Place  Place
	Unseen Unseen
}

func (e *NotAgreedError) Error() string {
	if e.Place.Agreed {
		return fmt.Sprintf("nobody agreed yet that this goes to %s: %s", e.Place.Address, strings.Join(slices.Concat(e.Unseen.Branches, e.Unseen.Files), ", "))
	}
	return fmt.Sprintf("nothing was sent to %s yet, and nobody agreed to what would go out", e.Place.Address)
}

// SentFirstError says that a place has versions that the branch here lacks.
type SentFirstError struct {
	Place  Place
	Branch string
	// Behind: here is nothing new, so that receiving is enough.
	Behind bool
}

func (e *SentFirstError) Error() string {
	if e.Behind {
		return fmt.Sprintf("%s has newer versions of %s, and there is nothing here that it lacks", Printable(e.Place.Name), e.Branch)
	}
	return fmt.Sprintf("somebody sent first; that version is here now, as %s/%s", Printable(e.Place.Name), e.Branch)
}

// Sent is what went out.
type Sent struct {
	Place    Place
	Branches []SentBranch
	Names    []string
	Clashing []string // names that mean something else there and stay so
	File     string   // the file that was written, if the place is a folder
}

// SentBranch is one branch that was sent.
type SentBranch struct {
	Name     string
	Versions int // that were not there; 0 if there was nothing new
	Last     Version
}

// toSend are the branches and names that go out.
func (r *Repo) toSend(x Exchange) (branches, names map[string]plumbing.Hash, err error) {
	heads, err := r.listRefs(headsPrefix)
	if err != nil {
		return nil, nil, err
	}
	branches = heads
	if !x.All {
		branch, tip, err := r.tip()
		if err != nil {
			return nil, nil, err
		}
		branches = map[string]plumbing.Hash{}
		if !tip.IsZero() {
			branches[branch] = tip
		}
	}
	if len(branches) == 0 {
		return nil, nil, errors.New("there is no version yet to send; make the first with `toile commit TEXT`")
	}
	for name := range branches {
		if !usableBranch(name) {
			return nil, nil, fmt.Errorf("the branch %q has a name that toile does not use; give it one of letters a to z, digits and hyphens first", Printable(name))
		}
	}
	names = map[string]plumbing.Hash{}
	if x.Names {
		names, err = r.namesOn(branches)
	}
	return branches, names, err
}

// namesOn are the given names of versions that the branches hold.
func (r *Repo) namesOn(branches map[string]plumbing.Hash) (map[string]plumbing.Hash, error) {
	on, err := r.ancestors(slices.Collect(maps.Values(branches)), nil)
	if err != nil {
		return nil, err
	}
	tags, err := r.listRefs(tagsPrefix)
	if err != nil {
		return nil, err
	}
	for name, id := range tags {
		if at, ok, err := r.peel(id); err != nil || !ok || !on[at] || ValidName(name) != nil {
			delete(tags, name)
		}
	}
	return tags, nil
}

// Send gives a place the branch that the folder is on, or all branches, with
// everything they build on. It never takes anything away there: if the place has
// versions that are not here, they are received and kept under its name, and the
// error is a *SentFirstError. The first time the error is a *NotAgreedError
// unless x.Agreed is set; nothing has been sent or written then.
func (r *Repo) Send(ctx context.Context, p Place, x Exchange) (Sent, error) {
	branches, names, err := r.toSend(x)
	if err != nil {
		return Sent{}, err
	}
	if !x.Agreed {
		if !p.Agreed {
			return Sent{}, &NotAgreedError{Place: p}
		}
		u, err := r.unseen(p, branches)
		if err != nil {
			return Sent{}, err
		}
		if !u.none() {
			return Sent{}, &NotAgreedError{Place: p, Unseen: u}
		}
	}
	if p.Address.IsFile() {
		git, keeps, found := keptAt(p.Address.path)
		switch {
		case keeps, sameFile(git, r.git): // the latter is refused in there
			return r.sendKept(ctx, p, x, git, branches, names)
		case found:
			return Sent{}, workedIn(p.Address)
		}
		return r.sendFile(ctx, p, x, branches, names)
	}
	return r.sendServer(ctx, p, x, branches, names)
}

// sending is one exchange with a server that takes versions.
type sending struct {
	r     *Repo
	place Place
	x     Exchange
	watch *watch
	there *listing
	moves []refMove
	sent  Sent
	late  string // a branch of which somebody sent first
}

func (r *Repo) sendServer(ctx context.Context, p Place, x Exchange, branches, names map[string]plumbing.Hash) (Sent, error) {
	s := &sending{r: r, place: p, x: x, sent: Sent{Place: p}}
	if err := s.talk(ctx, branches, names); err != nil {
		return Sent{}, err
	}
	if s.late != "" {
		return Sent{}, r.receiveInstead(ctx, p, x, s.late)
	}
	return s.sent, afterSending(p, r.noteSent(&s.sent, branches))
}

// talk is the whole conversation.
func (s *sending) talk(ctx context.Context, branches, names map[string]plumbing.Hash) (err error) {
	s.watch = newWatch(ctx, "asking "+s.place.Address.where(), s.x.silence, s.x.say)
	defer s.watch.close()
	wire, err := s.r.dial(s.watch, s.place.Address, serviceTake, s.x.Programs)
	if err != nil {
		return err
	}
	defer func() { err = wire.close(err) }()
	if s.there, err = wire.listing(); err != nil {
		return err
	}
	known, err := s.known()
	if err != nil {
		return err
	}
	if err := s.plan(branches, names, known); err != nil || s.late != "" || len(s.moves) == 0 {
		return err
	}
	return s.send(wire, known)
}

// known are the versions at the place that are here as well.
func (s *sending) known() (map[plumbing.Hash]bool, error) {
	all, err := s.r.reachable()
	if err != nil {
		return nil, err
	}
	var tips []plumbing.Hash
	for _, id := range s.there.refs {
		if all[id] {
			tips = append(tips, id)
		}
	}
	return s.r.ancestors(tips, nil)
}

// plan works out which branches and names are to be moved there.
func (s *sending) plan(branches, names map[string]plumbing.Hash, known map[plumbing.Hash]bool) error {
	for _, name := range slices.Sorted(maps.Keys(branches)) {
		here := branches[name]
		there := s.there.refs[headsPrefix+name]
		fresh, err := s.r.ancestors([]plumbing.Hash{here}, known)
		if err != nil {
			return err
		}
		last, err := s.r.version(here)
		if err != nil {
			return err
		}
		s.sent.Branches = append(s.sent.Branches, SentBranch{Name: name, Versions: len(fresh), Last: last})
		if there == here {
			continue
		}
		ok, err := s.r.buildsOn(here, there)
		if err != nil {
			return err
		}
		if !ok {
			s.late = name
			return nil
		}
		if err := s.standsFree(headsPrefix + name); err != nil {
			return err
		}
		s.moves = append(s.moves, refMove{ref: headsPrefix + name, old: there, new: here})
	}
	for _, name := range slices.Sorted(maps.Keys(names)) {
		switch there := s.there.refs[tagsPrefix+name]; {
		case there.IsZero():
			s.moves = append(s.moves, refMove{ref: tagsPrefix + name, new: names[name]})
			s.sent.Names = append(s.sent.Names, name)
		case there != names[name]:
			s.sent.Clashing = append(s.sent.Clashing, name)
		}
	}
	return nil
}

// standsFree refuses a branch that cannot be made there because of the names of
// others, which are kept as folders.
func (s *sending) standsFree(ref string) error {
	for other := range s.there.refs {
		if strings.HasPrefix(other, ref+"/") || strings.HasPrefix(ref, other+"/") {
			return fmt.Errorf("%s cannot be sent to %s, because %s stands in its way there; one of the two needs another name",
				refName(ref), s.place.Address.where(), refName(other))
		}
	}
	return nil
}

// buildsOn tells whether version a is b or has it before it; anything builds on
// nothing.
func (r *Repo) buildsOn(a, b plumbing.Hash) (bool, error) {
	if b.IsZero() || a == b {
		return true, nil
	}
	before, err := r.ancestors([]plumbing.Hash{a}, nil)
	return before[b], err
}

func (s *sending) send(wire wire, known map[plumbing.Hash]bool) error {
	var tips []plumbing.Hash
	for _, m := range s.moves {
		tips = append(tips, m.new)
	}
	s.watch.now("packing")
	stop := s.watch.pause() // what is done here is bounded by what is here
	spool, err := s.r.packFor(tips, known)
	stop()
	if err != nil {
		return err
	}
	defer spool.discard()
	in, err := spool.open()
	if err != nil {
		return err
	}
	defer in.Close()
	head, err := sendRequest(s.there, s.moves)
	if err != nil {
		return err
	}
	if err := s.intend(); err != nil {
		return err
	}
	s.watch.now("sending")
	answer, err := wire.ask(io.MultiReader(strings.NewReader(head), in), int64(len(head))+spool.size)
	if err != nil {
		return err
	}
	not, err := sendAnswer(s.there, answer)
	if err != nil {
		return err
	}
	if len(not) == len(s.moves) {
		s.takeBackIntent() // nothing at all was taken
	}
	return s.judge(not)
}

// judge says what it means that a server did not move something.
func (s *sending) judge(not []notTaken) error {
	for _, n := range not {
		for _, sign := range []string{"non-fast-forward", "fetch first", "failed to update ref", "incorrect old value", "already exists", "cannot lock ref", "stale info"} {
			if name, ok := strings.CutPrefix(n.ref, headsPrefix); ok && strings.Contains(n.reason, sign) {
				s.late = name
				return nil
			}
		}
	}
	for _, n := range not {
		switch {
		case strings.Contains(n.reason, "checked out"):
			return fmt.Errorf("%s is a folder that somebody works in, and does not let others change it; send to a place that only keeps versions", s.place.Address.where())
		case !strings.Contains(n.reason, "atomic"):
			return fmt.Errorf("%s was not taken: %w", refName(n.ref), n.why())
		}
	}
	if len(not) > 0 { // all or nothing, and no reason: most likely somebody was first
		s.late = s.sent.Branches[0].Name
	}
	return nil
}

// receiveInstead fetches what somebody else sent first, and says so.
func (r *Repo) receiveInstead(ctx context.Context, p Place, x Exchange, branch string) error {
	a, err := r.fetchFrom(ctx, p, x, false)
	if err != nil {
		return fmt.Errorf("somebody sent first, and what they sent could not be received: %w", err)
	}
	defer a.discard()
	unlock, err := r.Lock()
	if err != nil {
		return err
	}
	defer unlock()
	if _, err := r.keepArrival(a); err != nil {
		return err
	}
	return r.sentFirst(p, branch, a.branches[branch])
}

func (r *Repo) sentFirst(p Place, branch string, there plumbing.Hash) error {
	here, _, err := r.readRef(headsPrefix + branch)
	if err != nil {
		return err
	}
	if there.IsZero() {
		return fmt.Errorf("%s has changed meanwhile; send again", p.Address.where())
	}
	ahead, behind, err := r.apart(here, there)
	if err != nil {
		return err
	}
	if behind == 0 {
		return fmt.Errorf("%s has changed meanwhile; send again", p.Address.where())
	}
	return &SentFirstError{Place: p, Branch: branch, Behind: ahead == 0}
}

// noteSent remembers the place and what it has now.
func (r *Repo) noteSent(s *Sent, branches map[string]plumbing.Hash) error {
	unlock, err := r.Lock()
	if err != nil {
		return err
	}
	defer unlock()
	for _, name := range slices.Sorted(maps.Keys(branches)) {
		if err := r.setRef(s.Place.prefix()+name, branches[name]); err != nil {
			return err
		}
	}
	if err := r.settleIntent(s.Place); err != nil {
		return err
	}
	if err := r.remember(s.Place, true); err != nil {
		return err
	}
	s.Place.Known, s.Place.Agreed = true, true
	return nil
}
