package repo

import (
	"context"
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A receive that fails or dies at any step leaves the pattern whole: as it was,
// or with what came, and the next receive brings the rest.
func TestFaultsWhileReceiving(t *testing.T) {
	needsGit(t)
	stickFolder := made(t, stick(t))
	prepare := func(t *testing.T) *Repo {
		r := withVersions(t, 2)
		send(t, r, stickFolder, agreed)
		c, _ := copied(t, stickFolder, Exchange{})
		commit(t, r, 3, smock(3))
		v, err := r.Last()
		require.NoError(t, err)
		require.NoError(t, r.Name("hot-days", *v))
		send(t, r, "", agreed)
		return c
	}
	change := func(r *Repo) error {
		p, err := r.Place("", "")
		if err != nil {
			return err
		}
		_, err = r.Receive(context.Background(), p, Exchange{Names: true})
		return err
	}
	faultCases(t, prepare, change, func(t *testing.T, r *Repo, _ bool, _ error) {
		last, lastErr := r.Last()
		require.NoError(t, lastErr)
		require.Contains(t, []string{"change 2", "change 3"}, last.Text)
		fsck(t, r.Root())
		p, err := r.Place("", "")
		require.NoError(t, err)
		got, err := r.Receive(context.Background(), p, Exchange{Names: true})
		require.NoError(t, err)
		require.Len(t, got.Branches, 1)
		last, err = r.Last()
		require.NoError(t, err)
		require.Equal(t, "change 3", last.Text)
		require.Equal(t, string(smock(3)["pieces/back.yaml"]), get(t, r, "pieces/back.yaml"))
		fsck(t, r.Root())
		require.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	})
}

// A copy that fails or dies at any step is a whole pattern or none.
func TestFaultsWhileCopying(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 2)
	file := send(t, r, made(t, stick(t)), agreed).File
	a, err := ParseAddress(file)
	require.NoError(t, err)
	count := &faultyOps{}
	_, _, err = copyTo(context.Background(), count, filepath.Join(t.TempDir(), "copy"), a, "", Exchange{})
	require.NoError(t, err)
	for fail := 1; fail <= count.step; fail++ {
		for _, dead := range []bool{false, true} {
			dir := filepath.Join(t.TempDir(), "copy")
			c, _, err := copyTo(context.Background(), &faultyOps{fail: fail, dead: dead, torn: true}, dir, a, "", Exchange{})
			if err == nil {
				require.NoError(t, c.Close())
			}
			switch {
			case isPattern(dir):
				whole, err := Open(dir)
				require.NoError(t, err)
				last, err := whole.Last()
				require.NoError(t, err)
				require.Equal(t, "change 2", last.Text)
				fsck(t, dir)
				require.NoError(t, whole.Close())
			case !dead:
				require.Error(t, err)
				require.NoDirExists(t, filepath.Join(dir, unfinished), count.trace[fail-1])
			default: // the same copy again begins anew
				old := time.Now().Add(-time.Minute) // a start may run for a moment before it holds its lock
				_ = os.Chtimes(filepath.Join(dir, unfinished), old, old)
				again, _, err := Copy(context.Background(), dir, a, "", Exchange{})
				require.NoError(t, err, count.trace[fail-1])
				fsck(t, dir)
				require.Empty(t, git(t, dir, "status", "--porcelain"))
				require.NoFileExists(t, again.own(copyFile))
				require.NoError(t, again.Close())
			}
		}
	}
}

// Somebody sends between our look at the server and our own sending: the server
// refuses ours, and it ends as if they had been first from the start.
func TestRaceAtAServer(t *testing.T) {
	needsGit(t)
	bare := bareAt(t)
	var once sync.Once
	var meanwhile func()
	s := webServer(t, filepath.Dir(bare), func(_ http.ResponseWriter, req *http.Request) bool {
		if meanwhile != nil && req.Method == http.MethodPost && strings.HasSuffix(req.URL.Path, serviceTake) {
			once.Do(meanwhile)
		}
		return true
	})
	r := withVersions(t, 1)
	send(t, r, s.URL+"/smock.git", agreed)
	c, _ := copied(t, s.URL+"/smock.git", Exchange{})
	commit(t, r, 2, smock(2))
	commit(t, c, 3, smock(3))
	meanwhile = func() { git(t, c.Root(), "push", "-q", bare, FirstBranch) }
	_, err := r.Send(context.Background(), placeOf(t, r, ""), agreed)
	var first *SentFirstError
	require.ErrorAs(t, err, &first)
	v, err := r.Resolve("here/working")
	require.NoError(t, err)
	assert.Equal(t, "change 3", v.Text)
	assert.Equal(t, v.ID, git(t, bare, "rev-parse", FirstBranch))
	fsck(t, bare)
}

// Several who write one file at once lose nothing: each is there in the end, or
// was told.
func TestManySendersOneFile(t *testing.T) {
	r := withVersions(t, 1)
	folder := made(t, stick(t))
	send(t, r, folder, agreed)
	const senders, rounds = 3, 4
	var wg sync.WaitGroup
	var mu sync.Mutex
	sent := map[string]bool{}
	for n := range senders {
		c, _ := copied(t, folder, Exchange{})
		last, err := c.Last()
		require.NoError(t, err)
		name := string(rune('a'+n)) + "-branch"
		require.NoError(t, c.NewBranch(name, *last))
		require.NoError(t, c.Use(name))
		wg.Go(func() {
			for i := range rounds {
				v, err := c.Commit(smock(10*n+i+5), CommitOptions{Text: name, Author: someone, Time: at(i)})
				if !assert.NoError(t, err) {
					return
				}
				p, err := c.Place("", "")
				if assert.NoError(t, err) {
					if _, err = c.Send(context.Background(), p, agreed); err == nil {
						mu.Lock()
						sent[v.ID] = true
						mu.Unlock()
					}
				}
			}
		})
	}
	wg.Wait()
	require.NotEmpty(t, sent)
	c, _ := copied(t, folder, Exchange{})
	all, err := c.allVersions()
	require.NoError(t, err)
	for _, v := range all {
		delete(sent, v.ID)
	}
	assert.Empty(t, sent, "sent, and no longer there")
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, entries, 1)
}

// plantingOps puts something into a git folder in the moment in which it becomes
// one, as another program could.
type plantingOps struct{ diskOps }

func (plantingOps) Rename(from, to string) error {
	err := diskOps{}.Rename(from, to)
	if filepath.Base(to) == ".git" {
		err = errors.Join(err, os.WriteFile(filepath.Join(to, "commondir"), []byte("..\n"), 0o666))
	}
	return err
}

// A copy that cannot be opened is none: nothing of it stays that a git program
// could be led by.
func TestACopyThatCannotBeOpenedIsTakenBack(t *testing.T) {
	r := withVersions(t, 1)
	file := send(t, r, made(t, stick(t)), agreed).File
	a, err := ParseAddress(file)
	require.NoError(t, err)
	dir := filepath.Join(t.TempDir(), "copy")
	_, _, err = copyTo(context.Background(), plantingOps{}, dir, a, "", Exchange{})
	require.ErrorIs(t, err, ErrUnsupported)
	require.NoDirExists(t, dir)
}
