package repo

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What several programs do to one pattern at a time, and what a kill leaves.
// TOILE_ALL=1 runs these at full size.

// full is the full size under TOILE_ALL=1, else the small one.
func full(small, all int) int {
	if os.Getenv("TOILE_ALL") == "1" {
		return all
	}
	return small
}

// The writer of these tests is this test program itself, run again.
const (
	writerFolder = "TOILE_TEST_WRITER"
	writerCount  = "TOILE_TEST_WRITER_COUNT" // how many commits; none means for ever
	writerName   = "TOILE_TEST_WRITER_NAME"
)

func TestMain(m *testing.M) {
	if dir := os.Getenv(writerFolder); dir != "" {
		os.Exit(writeOn(dir))
	}
	os.Exit(m.Run())
}

// writeOn commits until it is done or killed, printing each version it was told
// is safe.
func writeOn(dir string) int {
	count, err := strconv.Atoi(os.Getenv(writerCount))
	endless := err != nil
	r, err := Open(dir)
	if err == nil {
		r.lockPatience, r.refPatience = 20*time.Second, 5*time.Second
	}
	for n := 0; err == nil && (endless || n < count); n++ {
		var v Version
		if v, err = keepOneMore(r, fmt.Sprintf("%s-%d", os.Getenv(writerName), n), n); err == nil {
			fmt.Println(v.Number, v.Text)
		}
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return 0
}

// keepOneMore changes one of a few pieces and commits, each as a command of the
// log does.
func keepOneMore(r *Repo, text string, n int) (v Version, err error) {
	err = command(r, text, func() error {
		files, err := r.Working()
		if err != nil {
			return err
		}
		files[fmt.Sprintf("pieces/p%d.yaml", n%5)] = []byte("name: " + text + "\n")
		v, err = r.Commit(files, CommitOptions{Text: text, Author: someone})
		return err
	})
	return v, err
}

// writer is a process that writes on.
func writer(t *testing.T, dir, name string, count int) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	c := exec.Command(self)
	c.Env = append(os.Environ(), writerFolder+"="+dir, writerName+"="+name)
	if count > 0 {
		c.Env = append(c.Env, writerCount+"="+strconv.Itoa(count))
	}
	return c
}

// runAndKill lets a writer commit once, and for some time more, then kills it.
// It returns the last version that the writer was told is safe.
func runAndKill(t *testing.T, dir, name string, after time.Duration) (number int, text string) {
	t.Helper()
	c := writer(t, dir, name, 0)
	var complaint strings.Builder
	c.Stderr = &complaint
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	lines := bufio.NewScanner(out)
	kill := time.AfterFunc(20*time.Second, func() { _ = c.Process.Kill() }) // should it hang
	for first := true; lines.Scan(); {
		digits, rest, _ := strings.Cut(lines.Text(), " ")
		number, err = strconv.Atoi(digits)
		require.NoError(t, err)
		text = rest
		if first {
			first = false
			kill.Reset(after)
		}
	}
	_ = c.Wait() // killed: that is its error
	require.Empty(t, complaint.String())
	return number, text
}

// A writer killed at any moment loses no version that it was told is safe, and
// stands in nobody's way: the pattern opens, the next command succeeds at once.
func TestKilledWriter(t *testing.T) {
	needsGit(t)
	t.Parallel()
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 0))
	r := withVersions(t, 1)
	unfinished := 0
	for k := range full(15, 400) {
		number, text := runAndKill(t, r.Root(), fmt.Sprintf("k%d", k), time.Duration(random.IntN(25_000))*time.Microsecond)
		other, err := Open(r.Root())
		require.NoError(t, err)
		last, err := other.Last()
		require.NoError(t, err)
		require.GreaterOrEqual(t, last.Number, number)
		files, err := other.Read(*last)
		require.NoError(t, err)
		if last.Number == number {
			require.Equal(t, text, last.Text)
		}
		if info, err := os.Stat(other.own(journalFile)); err == nil && info.Size() > 0 {
			unfinished++
		}
		fsck(t, r.Root()) // as the kill left it
		v, err := keepOneMore(other, fmt.Sprintf("after %d", k), k)
		require.NoError(t, err, "the next command succeeds at once")
		require.Equal(t, last.Number+1, v.Number)
		require.Contains(t, files, PatternFile)
		for _, w := range other.Warnings() {
			require.Contains(t, w, "git gc")
		}
		require.NoError(t, other.Close())
		require.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	}
	r = reopened(t, r)
	history, err := r.History()
	require.NoError(t, err)
	assert.Equal(t, history[0].Number, len(history))
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	fsck(t, r.Root())
	t.Logf("%d of the kills came while a branch was being moved", unfinished)
	if full(0, 1) == 1 {
		require.Positive(t, unfinished, "some of the kills have to come while a branch is being moved")
	}
}

// Two processes write at once: no version of either is lost, none is there
// twice.
func TestTwoWritersLoseNothing(t *testing.T) {
	needsGit(t)
	t.Parallel()
	each := full(15, 200)
	r := withVersions(t, 1)
	var both sync.WaitGroup
	for _, name := range []string{"left", "right"} {
		both.Go(func() {
			out, err := writer(t, r.Root(), name, each).CombinedOutput()
			assert.NoError(t, err, string(out))
		})
	}
	both.Wait()
	history, err := reopened(t, r).History()
	require.NoError(t, err)
	times := map[string]int{}
	for _, v := range history {
		times[v.Text]++
	}
	require.Len(t, history, 1+2*each)
	for _, name := range []string{"left", "right"} {
		for n := range each {
			assert.Equal(t, 1, times[fmt.Sprintf("%s-%d", name, n)], "%s-%d", name, n)
		}
	}
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	fsck(t, r.Root())
}

// The git program and we commit by turns: every version of both is there, each
// builds on the one before, and git sees a clean folder.
func TestByTurnsWithGit(t *testing.T) {
	needsGit(t)
	t.Parallel()
	turns := full(30, 600)
	r := withVersions(t, 1)
	for n := range turns {
		if n%2 == 0 {
			_, err := keepOneMore(r, fmt.Sprintf("ours %d", n), n)
			require.NoError(t, err)
			continue
		}
		put(t, r, fmt.Sprintf("pieces/g%d.yaml", n%5), fmt.Sprintf("name: g%d\n", n))
		git(t, r.Root(), "add", "-A")
		git(t, r.Root(), "commit", "-q", "-m", fmt.Sprintf("git %d", n))
		if n%101 == 0 {
			git(t, r.Root(), "gc", "-q")
		}
	}
	r = reopened(t, r)
	history, err := r.History()
	require.NoError(t, err)
	require.Len(t, history, 1+turns)
	for i, v := range history[:turns] {
		n := turns - 1 - i
		assert.Equal(t, []string{"ours", "git"}[n%2]+" "+itoa(n), v.Text)
		assert.Equal(t, n+2, v.Number)
	}
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	assert.Equal(t, itoa(1+turns), git(t, r.Root(), "rev-list", "--count", "working"))
	fsck(t, r.Root())
}

// Reading beside a writer, and beside a git program that repacks, is never in
// error.
func TestReadsBesideAWriter(t *testing.T) {
	needsGit(t)
	t.Parallel()
	reads := int64(full(600, 20_000))
	r := withVersions(t, 3)
	var done atomic.Int64
	var readers, writers sync.WaitGroup
	for range 2 {
		readers.Go(func() {
			for n := done.Add(1); n <= reads; n = done.Add(1) {
				if !assert.NoError(t, readOnce(r.Root(), n%20 == 0)) {
					done.Store(reads)
				}
			}
		})
	}
	kept := 0
	writers.Go(func() {
		mine, err := Open(r.Root())
		if !assert.NoError(t, err) {
			return
		}
		defer mine.Close()
		for ; done.Load() < reads; kept++ {
			if _, err := keepOneMore(mine, fmt.Sprintf("w%d", kept), kept); !assert.NoError(t, err) {
				return
			}
			time.Sleep(10 * time.Millisecond)
		}
	})
	packings := 0
	writers.Go(func() {
		for ; done.Load() < reads; packings++ {
			_, err := tryGit(r.Root(), "gc", "-q", "--prune=2.weeks.ago")
			assert.NoError(t, err)
			time.Sleep(500 * time.Millisecond)
		}
	})
	readers.Wait()
	writers.Wait()
	fsck(t, r.Root())
	t.Logf("beside %d commits and %d packings", kept, packings)
}

// readOnce is what a reading command does: it opens the pattern and reads the
// last version, and now and then those before it.
func readOnce(dir string, all bool) error {
	r, err := Open(dir)
	if err != nil {
		return err
	}
	defer r.Close()
	last, err := r.Last()
	if err != nil {
		return err
	}
	if last == nil {
		return ErrNoBranch
	}
	if _, err = r.Read(*last); err != nil || !all {
		return err
	}
	history, err := r.History()
	if err == nil && len(history) != last.Number && len(history) != history[0].Number {
		err = fmt.Errorf("%d versions, the last is %d", len(history), last.Number)
	}
	return err
}
