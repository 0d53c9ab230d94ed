package repo

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// command runs one command of the log, as the program does.
func command(r *Repo, typed string, do func() error) error {
	unlock, err := r.Lock()
	if err != nil {
		return err
	}
	defer unlock()
	r.Begin(typed, at(1))
	err = do()
	r.End(err != nil)
	return err
}

// changing is a command that reads the folder and writes files into it.
func changing(r *Repo, files Files) error {
	return command(r, "alter", func() error {
		if _, err := r.Working(); err != nil {
			return err
		}
		return r.WriteWorking(files, nil)
	})
}

func committing(r *Repo, n int) error {
	return command(r, fmt.Sprintf("commit %d", n), func() error {
		files, err := r.Working()
		if err != nil {
			return err
		}
		if _, err = r.Commit(files, CommitOptions{Text: fmt.Sprintf("change %d", n), Author: someone, Time: at(n)}); err != nil {
			return err
		}
		return r.SetPending(nil)
	})
}

func undoing(r *Repo) (u Undone, err error) {
	err = command(r, "undo", func() error {
		u, err = r.Undo()
		return err
	})
	return u, err
}

func redoing(r *Repo) (u Undone, err error) {
	err = command(r, "undo --redo", func() error {
		u, err = r.Redo()
		return err
	})
	return u, err
}

// standing is all that a command may change, as one value.
func standing(t *testing.T, r *Repo) map[string]any {
	t.Helper()
	p, err := r.place()
	require.NoError(t, err)
	names, err := r.workingNames()
	require.NoError(t, err)
	files := Files{}
	for _, name := range names {
		files[name], err = os.ReadFile(filepath.Join(r.Root(), name))
		require.NoError(t, err)
	}
	return map[string]any{"branch": p.Branch, "heads": p.Heads, "names": p.Names, "pending": string(p.Pending), "files": files}
}

// manyCommands runs one command of each sort, and calls after with each.
func manyCommands(t *testing.T, r *Repo, after func(what string)) {
	t.Helper()
	for _, c := range []struct {
		what string
		do   func() error
	}{
		{"alter", func() error { return changing(r, Files{"pieces/back.yaml": []byte("name: back\nhem: 1\n")}) }},
		{"pending", func() error { return command(r, "pending", func() error { return r.SetPending([]byte("a recipe")) }) }},
		{"new fitting", func() error {
			return changing(r, Files{"fittings/01-3fa2.yaml": []byte("number: 1\nworn: a shirt\n"), "fittings/02-77ab.yaml": []byte("number: 2\n")})
		}},
		{"new piece", func() error { return changing(r, Files{"pieces/yoke.yaml": []byte("name: yoke\n")}) }},
		{"commit", func() error { return committing(r, 2) }},
		{"name", func() error {
			return command(r, "name", func() error { return errOf(r.Last())(func(v *Version) error { return r.Name("worn", *v) }) })
		}},
		{"branch", func() error {
			return command(r, "branch", func() error {
				first, err := r.Resolve("1")
				if err != nil {
					return err
				}
				return r.NewBranch("side", first)
			})
		}},
		{"use", func() error { return command(r, "use", func() error { return r.Use("side") }) }},
		{"alter there", func() error { return changing(r, Files{"pieces/cuff.yaml": []byte("name: cuff\n")}) }},
		{"commit there", func() error { return committing(r, 3) }},
		{"two at once", func() error {
			return command(r, "two", func() error {
				if _, err := r.Working(); err != nil {
					return err
				}
				for n := range 2 {
					if _, err := r.Commit(with(smock(20+n), "pieces/cuff.yaml", "name: cuff\n"), CommitOptions{Text: "x", Author: someone, Time: at(5)}); err != nil {
						return err
					}
				}
				return r.Use("working")
			})
		}},
	} {
		require.NoError(t, c.do(), c.what)
		require.Empty(t, r.Warnings(), c.what)
		after(c.what)
	}
}

func errOf[T any](v T, err error) func(func(T) error) error {
	return func(do func(T) error) error {
		if err != nil {
			return err
		}
		return do(v)
	}
}

// Taking every command back one after the other leads through the very states
// that there were, and making them again leads back. What git shows stays clean
// wherever it was.
func TestUndoAndRedoPassThroughEveryState(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	states := []map[string]any{standing(t, r)}
	whats := []string{"start"}
	status := []string{git(t, r.Root(), "status", "--porcelain")}
	manyCommands(t, r, func(what string) {
		states, whats = append(states, standing(t, r)), append(whats, what)
		status = append(status, git(t, r.Root(), "status", "--porcelain"))
	})
	for i := len(states) - 2; i >= 0; i-- {
		r = reopened(t, r)
		_, err := undoing(r)
		require.NoError(t, err, whats[i+1])
		require.Equal(t, states[i], standing(t, r), "before "+whats[i+1])
		require.Equal(t, status[i], git(t, r.Root(), "status", "--porcelain"))
	}
	before := onDisk(t, r.Root())
	_, err := undoing(r)
	require.ErrorIs(t, err, ErrNothingToUndo)
	require.Equal(t, before, onDisk(t, r.Root()))
	fsck(t, r.Root())
	git(t, r.Root(), "gc", "-q", "--prune=now") // what was undone is held by the log
	for i := 1; i < len(states); i++ {
		r = reopened(t, r)
		_, err := redoing(r)
		require.NoError(t, err, whats[i])
		require.Equal(t, states[i], standing(t, r), "after "+whats[i])
		require.Equal(t, status[i], git(t, r.Root(), "status", "--porcelain"))
	}
	_, err = redoing(r)
	require.ErrorIs(t, err, ErrNothingToRedo)
	_, err = undoing(r)
	require.NoError(t, err, "what was made again can be taken back again")
	require.Equal(t, states[len(states)-2], standing(t, r))
	fsck(t, r.Root())
	noLocks(t, r)
}

// A command that fails after some of its steps leaves nothing of them, nor a
// step in the log.
func TestFailedCommandIsTakenBack(t *testing.T) {
	r := withVersions(t, 1)
	require.NoError(t, changing(r, Files{"pieces/back.yaml": []byte("mine\n")}))
	before, log := standing(t, r), r.readEnds()
	err := command(r, "all at once", func() error {
		if _, err := r.Working(); err != nil {
			return err
		}
		if err := r.SetPending([]byte("x")); err != nil {
			return err
		}
		v, err := r.Commit(smock(7), CommitOptions{Text: "x", Author: someone, Time: at(2)})
		if err != nil {
			return err
		}
		if err := r.NewBranch("side", v); err != nil {
			return err
		}
		if err := r.Use("side"); err != nil {
			return err
		}
		put(t, r, "pieces/front.yaml", "saved by an editor meanwhile\n")
		return errDisk
	})
	require.ErrorIs(t, err, errDisk)
	files := before["files"].(Files)
	files["pieces/front.yaml"] = []byte("saved by an editor meanwhile\n")
	assert.Equal(t, before, standing(t, reopened(t, r)))
	assert.Empty(t, r.Warnings())
	assert.Equal(t, log, r.readEnds())
	numbers, err := r.stepNumbers()
	require.NoError(t, err)
	assert.Equal(t, []int{1}, numbers)
	noLocks(t, r)
}

// What changes nothing leaves no step, and the log holds the last hundred.
func TestLogIsBounded(t *testing.T) {
	r := withVersions(t, 1)
	require.NoError(t, changing(r, smock(1)))
	numbers, err := r.stepNumbers()
	require.NoError(t, err)
	assert.Empty(t, numbers)
	const commands = maxSteps + 30
	for n := range commands {
		require.NoError(t, changing(r, Files{"pieces/back.yaml": []byte(fmt.Sprintf("hem: %d\n", n))}))
		if n == 60 {
			if _, err := tryGit(r.Root(), "pack-refs", "--all"); err != nil {
				t.Log("without the git program nothing is packed")
			}
		}
	}
	undo, redo, err := r.CommandLog()
	require.NoError(t, err)
	assert.LessOrEqual(t, len(undo), maxSteps+maxPacked)
	assert.GreaterOrEqual(t, len(undo), maxSteps)
	assert.Empty(t, redo)
	for n := range maxSteps {
		_, err := undoing(r)
		if n < maxSteps/2 { // an undo is a step as well, and pushes out old ones
			require.NoError(t, err, "%d", n)
			require.Equal(t, fmt.Sprintf("hem: %d\n", commands-2-n), get(t, r, "pieces/back.yaml"))
		}
	}
}

// A log that is damaged in part offers what is whole.
func TestDamagedLog(t *testing.T) {
	r := withVersions(t, 1)
	for n := range 3 {
		require.NoError(t, changing(r, Files{"pieces/back.yaml": []byte(fmt.Sprintf("hem: %d\n", n))}))
	}
	require.NoError(t, os.WriteFile(r.own(endsFile), []byte("\x00torn"), 0o666))
	u, err := undoing(reopened(t, r))
	require.NoError(t, err, "what a command changed follows from the folder where the note is gone")
	assert.Equal(t, []string{"pieces/back.yaml"}, u.Files)
	assert.Equal(t, "hem: 1\n", get(t, r, "pieces/back.yaml"))
	id, _, err := r.readRef(stepRef(2))
	require.NoError(t, err)
	require.NoError(t, os.Remove(objectFile(r, id.String())))
	_, err = undoing(reopened(t, r))
	require.NoError(t, err)
	assert.Equal(t, smock(1)["pieces/back.yaml"], []byte(get(t, r, "pieces/back.yaml")), "step 2 is lost, so step 1 is next")
}

func TestSentIsWhatOthersHave(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 3)
	history, err := r.History()
	require.NoError(t, err)
	git(t, r.Root(), "update-ref", "refs/remotes/ours/working", history[1].ID)
	git(t, r.Root(), "symbolic-ref", "refs/remotes/ours/HEAD", "refs/remotes/ours/working")
	git(t, r.Root(), "pack-refs", "--all")
	for i, want := range []bool{false, true, true} {
		sent, err := r.Sent(history[i])
		require.NoError(t, err)
		assert.Equal(t, want, sent, "version %d", history[i].Number)
	}
}

// A version that was received with the command itself may go again: others keep
// it.
func TestUndoOfAReception(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 2)
	before := standing(t, r)
	git(t, r.Root(), "checkout", "-q", "-b", "other")
	put(t, r, "pieces/yoke.yaml", "name: yoke\n")
	git(t, r.Root(), "add", "-A")
	git(t, r.Root(), "commit", "-q", "-m", "theirs")
	theirs, err := parseID([]byte(git(t, r.Root(), "rev-parse", "HEAD")))
	require.NoError(t, err)
	git(t, r.Root(), "checkout", "-q", "working")
	git(t, r.Root(), "branch", "-q", "-D", "other")
	r = reopened(t, r)
	require.NoError(t, command(r, "share receive", func() error {
		if _, err := r.Working(); err != nil {
			return err
		}
		if err := r.beforeChange(true); err != nil {
			return err
		}
		git(t, r.Root(), "update-ref", "refs/remotes/ours/working", theirs.String())
		return r.moveRef("refs/heads/working", r.held.position.tip, theirs, func() (func(), error) {
			return nil, r.WriteWorking(Files{"pieces/yoke.yaml": []byte("name: yoke\n")}, nil)
		})
	}))
	_, err = undoing(reopened(t, r))
	require.NoError(t, err)
	assert.Equal(t, before, standing(t, reopened(t, r)))

	// One of our own that was sent since stays.
	put(t, r, "pieces/back.yaml", "name: back\nhem: 1\n")
	require.NoError(t, committing(reopened(t, r), 3))
	git(t, r.Root(), "update-ref", "refs/remotes/ours/working", "refs/heads/working")
	there := onDisk(t, r.Root(), ".git/toile/lock")
	_, err = undoing(reopened(t, r))
	var sent *SentError
	require.ErrorAs(t, err, &sent)
	assert.Equal(t, 3, sent.Version.Number)
	assert.Equal(t, there, onDisk(t, r.Root(), ".git/toile/lock"))
}

// withCommands is a pattern on whose log a commit is the last command.
func withCommands(t *testing.T) *Repo {
	r := withVersions(t, 1)
	require.NoError(t, changing(r, with(Files{}, "pieces/back.yaml", "name: back\nhem: 77\n")))
	require.NoError(t, command(r, "pending", func() error { return r.SetPending([]byte("a recipe")) }))
	put(t, r, "pieces/yoke.yaml", "name: yoke\n")
	require.NoError(t, committing(r, 2))
	return r
}

// With a fault at each step of an undo the pattern is as before the undo or as
// after it, and where the undo was killed in between, the same undo again ends
// it.
func TestFaultsInUndo(t *testing.T) {
	needsGit(t)
	t.Parallel()
	model := withCommands(t)
	done := standing(t, model)
	undone := func() map[string]any {
		r := copyOf(t, model)
		_, err := undoing(r)
		require.NoError(t, err)
		return standing(t, r)
	}()
	require.NotEqual(t, done, undone)
	change := func(r *Repo) error { _, err := undoing(r); return err }
	faultCases(t, func(t *testing.T) *Repo { return model }, change, func(t *testing.T, r *Repo, dead bool, err error) {
		unlock, lockErr := r.Lock() // clears up
		require.NoError(t, lockErr)
		unlock()
		now := standing(t, r)
		switch {
		case err == nil:
			require.Equal(t, undone, now)
		case !dead && !strings.HasSuffix(t.Name(), "full"):
			require.Equal(t, done, now, "an undo that fails has changed nothing")
		}
		fsck(t, r.Root())
		if !maps.EqualFunc(now, undone, func(a, b any) bool { return assert.ObjectsAreEqual(a, b) }) {
			_, again := undoing(r)
			require.NoError(t, again, "the next undo succeeds at once")
			require.Equal(t, undone, standing(t, r))
		}
		noLocks(t, r)
		_, redo := redoing(r)
		if redo == nil {
			require.Equal(t, done["heads"], standing(t, r)["heads"])
		}
		fsck(t, r.Root())
	})
}

// With a fault at each step of a command of the log, one that keeps unsaved work
// and goes to another branch, an error leaves everything as it was; after a kill
// an undo leads back there.
func TestFaultsInLoggedCommand(t *testing.T) {
	needsGit(t)
	t.Parallel()
	model := withVersions(t, 1)
	last, err := model.Last()
	require.NoError(t, err)
	require.NoError(t, model.NewBranch("side", *last))
	put(t, model, "pieces/back.yaml", "name: back\nhem: 77\n")
	require.NoError(t, model.SetPending([]byte("a recipe")))
	before := standing(t, model)
	change := func(r *Repo) error {
		return command(r, "use side", func() error {
			files, err := r.Working()
			if err != nil {
				return err
			}
			if _, err := r.Commit(files, CommitOptions{Text: "kept", Author: someone, Time: at(2)}); err != nil {
				return err
			}
			if err := r.SetPending(nil); err != nil {
				return err
			}
			return r.Use("side")
		})
	}
	faultCases(t, func(t *testing.T) *Repo { return model }, change, func(t *testing.T, r *Repo, dead bool, err error) {
		unlock, lockErr := r.Lock()
		require.NoError(t, lockErr)
		unlock()
		fsck(t, r.Root())
		if err != nil && !dead && !strings.HasSuffix(t.Name(), "full") {
			require.Equal(t, before, standing(t, r))
		} // with a full disk what was done stays, and is whole; undo takes it back
		if !assert.ObjectsAreEqual(before, standing(t, r)) {
			_, again := undoing(r)
			require.NoError(t, again)
			require.Equal(t, before, standing(t, r))
		}
		noLocks(t, r)
		require.NoError(t, change(r), "the next command succeeds at once")
		fsck(t, r.Root())
	})
}

// Whatever moves a branch by announcing it is in the log, also a command that
// knows nothing of the log; starting a branch keeps no copy of the folder.
func TestEveryMoveOfABranchIsLogged(t *testing.T) {
	r := withVersions(t, 2)
	before := standing(t, r)
	require.NoError(t, command(r, "back", func() error {
		first, err := r.Resolve("1")
		if err != nil {
			return err
		}
		id, err := r.idOf(first)
		if err != nil {
			return err
		}
		tip := r.held.position.tip
		if err := r.announce(tip, tip, announced{path: "refs/heads/working.lock"}); err != nil {
			return err
		}
		defer r.settled()
		return r.moveRef("refs/heads/working", tip, id, nil)
	}))
	require.NotEqual(t, before, standing(t, r))
	_, err := undoing(r)
	require.NoError(t, err)
	require.Equal(t, before, standing(t, r))

	last, err := r.Last()
	require.NoError(t, err)
	require.NoError(t, command(r, "branch", func() error { return r.NewBranch("side", *last) }))
	stack, err := r.readSteps()
	require.NoError(t, err)
	require.False(t, stack.undo[len(stack.undo)-1].record.Folder)
	put(t, r, "pieces/back.yaml", "edited\n")
	_, err = undoing(r)
	require.NoError(t, err)
	require.Equal(t, "edited\n", get(t, r, "pieces/back.yaml"))
}

// A command that leaves locking to the Repo's own methods is in the log too.
func TestCommandThatHoldsNoLock(t *testing.T) {
	r := withVersions(t, 1)
	before := standing(t, r)
	r.Begin("share receive", at(1))
	require.NoError(t, r.WriteWorking(Files{"pieces/back.yaml": []byte("theirs\n")}, nil))
	r.End(false)
	_, err := r.Working()
	require.NoError(t, err)
	undo, _, err := r.CommandLog()
	require.NoError(t, err)
	require.Len(t, undo, 1)
	_, err = undoing(r)
	require.NoError(t, err)
	require.Equal(t, before, standing(t, r))
}

func TestClockOfTheLog(t *testing.T) {
	r := withVersions(t, 1)
	unlock, err := r.Lock()
	require.NoError(t, err)
	r.Begin("long ago", time.Time{})
	_, err = r.Working()
	require.NoError(t, err)
	require.NoError(t, r.WriteWorking(smock(5), nil))
	r.End(false)
	unlock()
	undo, _, err := r.CommandLog()
	require.NoError(t, err)
	require.Len(t, undo, 1)
	assert.Equal(t, "long ago", undo[0].Command)
}
