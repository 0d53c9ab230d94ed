package repo

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestStartMakesAPattern(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "folder")
	r, err := Start(dir, smock(0))
	require.NoError(t, err)
	defer r.Close()
	branch, err := r.Branch()
	require.NoError(t, err)
	assert.Equal(t, FirstBranch, branch)
	working, err := r.Working()
	require.NoError(t, err)
	assert.Equal(t, smock(0).complete(), working)
	assert.Equal(t, "* -text\n", get(t, r, AttributesFile))
	root, err := Find(filepath.Join(dir, "pieces"))
	require.NoError(t, err)
	assert.Equal(t, real(t, dir), root)
}

func real(t *testing.T, path string) string {
	path, err := filepath.EvalSymlinks(path)
	require.NoError(t, err)
	return path
}

func TestStartBesideOtherFiles(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "pieces"), 0o777))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "photo.jpg"), []byte("x"), 0o666))
	r, err := Start(dir, smock(0))
	require.NoError(t, err)
	require.NoError(t, r.Close())
	assert.FileExists(t, filepath.Join(dir, "photo.jpg"))
}

func TestStartRefuses(t *testing.T) {
	cases := map[string]struct {
		prepare func(dir string) (string, error)
		files   Files
		says    string
	}{
		"a pattern": {func(dir string) (string, error) {
			r, err := Start(dir, smock(0))
			if err == nil {
				err = r.Close()
			}
			return dir, err
		}, smock(0), "holds a pattern already"},
		"inside a pattern": {func(dir string) (string, error) {
			r, err := Start(dir, smock(0))
			if err == nil {
				err = r.Close()
			}
			return filepath.Join(dir, "pieces", "deeper", "still"), err
		}, smock(0), "lies inside the pattern"},
		"a repository": {func(dir string) (string, error) {
			return dir, os.Mkdir(filepath.Join(dir, ".git"), 0o777)
		}, smock(0), "git repository already"},
		"a broken start": {func(dir string) (string, error) {
			return dir, os.Mkdir(filepath.Join(dir, unfinished), 0o777)
		}, smock(0), "being started"},
		"a folder of that name": {func(dir string) (string, error) {
			return dir, os.MkdirAll(filepath.Join(dir, unfinished, "mine"), 0o777)
		}, smock(0), "not what a start leaves behind"},
		"a file in the way": {func(dir string) (string, error) {
			return dir, os.WriteFile(filepath.Join(dir, RecipesFile), []byte("mine"), 0o666)
		}, smock(0), "overwritten"},
		"a file for a folder": {func(dir string) (string, error) {
			dir = filepath.Join(dir, "f")
			return dir, os.WriteFile(dir, []byte("mine"), 0o666)
		}, smock(0), "is a file"},
		"bad names":  {func(dir string) (string, error) { return dir, nil }, with(smock(0), "pieces/../x.yaml", ""), "pieces/../x.yaml"},
		"no pattern": {func(dir string) (string, error) { return dir, nil }, Files{}, PatternFile},
		"a file above": {func(dir string) (string, error) {
			return filepath.Join(dir, "a", "b"), os.WriteFile(filepath.Join(dir, "a"), nil, 0o666)
		}, smock(0), "not a directory"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			top := t.TempDir()
			dir, err := c.prepare(top)
			require.NoError(t, err)
			before := onDisk(t, top)
			_, err = Start(dir, c.files)
			assert.ErrorContains(t, err, c.says)
			assert.Equal(t, before, onDisk(t, top), "a refusal changes nothing")
		})
	}
}

// A start that was killed is recognised by the next, whatever that makes; a file
// that somebody has changed since stays.
func TestBrokenStartIsCleared(t *testing.T) {
	count := &faultyOps{}
	r, err := start(count, filepath.Join(t.TempDir(), "smock"), smock(0))
	require.NoError(t, err)
	require.NoError(t, r.Close())
	old := time.Now().Add(-time.Minute)
	for fail := 1; fail <= count.step; fail++ {
		dir := filepath.Join(t.TempDir(), "smock")
		_, err := start(&faultyOps{fail: fail, dead: true}, dir, smock(0))
		require.Error(t, err)
		if exists(filepath.Join(dir, ".git")) {
			continue // it was whole already
		}
		if exists(filepath.Join(dir, unfinished)) {
			require.NoError(t, os.Chtimes(filepath.Join(dir, unfinished), old, old))
		}
		r, err := Start(dir, smock(3))
		require.NoError(t, err, "%d %s", fail, count.trace[fail-1])
		commit(t, r, 1, smock(3))
		assert.NoDirExists(t, filepath.Join(dir, unfinished))
		assert.NoFileExists(t, r.own(startFile))
		require.NoError(t, r.Close())
	}

	dir := filepath.Join(t.TempDir(), "smock")
	_, err = start(&faultyOps{fail: count.step - 3, dead: true}, dir, smock(0))
	require.Error(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, PatternFile), []byte("format: 1\nname: mine\n"), 0o666))
	_, err = Start(dir, smock(0))
	assert.ErrorContains(t, err, "would be overwritten")
	assert.FileExists(t, filepath.Join(dir, PatternFile))
}

// A start that still runs is not taken for a broken one.
func TestStartBesideAStart(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "smock")
	b := &builder{ops: diskOps{}}
	b.git = filepath.Join(dir, unfinished)
	require.NoError(t, b.folder(dir))
	require.NoError(t, b.gitFolder())
	old := time.Now().Add(-time.Hour)
	require.NoError(t, os.Chtimes(b.git, old, old))
	before := onDisk(t, dir)
	_, err := Start(dir, smock(0))
	assert.ErrorContains(t, err, "is being started in "+dir+" at this moment")
	assert.Equal(t, before, onDisk(t, dir))
	b.letGo()
	r, err := Start(dir, smock(0))
	require.NoError(t, err)
	require.NoError(t, r.Close())
}

func TestFindNothing(t *testing.T) {
	_, err := Find(t.TempDir())
	assert.ErrorIs(t, err, ErrNoPattern)
	assert.ErrorContains(t, err, "toile start")
	_, err = Open(t.TempDir())
	assert.ErrorIs(t, err, ErrNoPattern)
}

func TestOpenRefusesWhatItWouldMisread(t *testing.T) {
	config := func(text string) func(r *Repo) error {
		return func(r *Repo) error {
			return os.WriteFile(r.path("config"), []byte(firstConfig(true)+text), 0o666)
		}
	}
	file := func(name string) func(r *Repo) error {
		return func(r *Repo) error {
			if err := os.MkdirAll(filepath.Dir(r.path(name)), 0o777); err != nil {
				return err
			}
			return os.WriteFile(r.path(name), []byte("x\n"), 0o666)
		}
	}
	cases := map[string]struct {
		spoil func(r *Repo) error
		says  string
	}{
		"sha256":     {config("[extensions]\n\tobjectFormat = sha256\n"), "sha256"},
		"reftable":   {config("[extensions]\n\trefStorage = reftable\n"), "reftable"},
		"worktrees":  {config("[extensions]\n\tworktreeConfig = true\n"), "worktreeConfig"},
		"partial":    {config("[extensions]\n\tpartialClone = origin\n"), "full copy"},
		"promisor":   {config("[remote \"origin\"]\n\tpromisor = true\n"), "full copy"},
		"unknown":    {config("[extensions]\n\tunheardOf = 1\n"), "unheardof"},
		"newer":      {config("[core]\n\trepositoryformatversion = 2\n"), "newer toile"},
		"bare":       {config("[core]\n\tbare = true\n"), "core.bare"},
		"elsewhere":  {config("[core]\n\tworktree = /tmp\n"), "core.worktree"},
		"shallow":    {file("shallow"), "shallow"},
		"alternates": {file("objects/info/alternates"), "alternates"},
		"grafts":     {file("info/grafts"), "grafts"},
		"sparse":     {config("[core]\n\tsparseCheckout = true\n"), "git sparse-checkout disable"},
		"replaced":   {file("refs/replace/0123456789012345678901234567890123456789"), "refs/replace"},
		"replaced, packed": {func(r *Repo) error {
			const id = "0123456789012345678901234567890123456789"
			return os.WriteFile(r.path(packedFile), []byte(id+" refs/replace/"+id+"\n"), 0o666)
		}, "refs/replace"},
		"commondir": {file("commondir"), "another folder"},
		"linked": {func(r *Repo) error {
			moved := r.Root() + "-git"
			if err := os.Rename(r.git, moved); err != nil {
				return err
			}
			return os.WriteFile(r.git, []byte("gitdir: "+moved+"\n"), 0o666)
		}, "another folder"},
		"link": {func(r *Repo) error {
			moved := r.Root() + "-git"
			if err := os.Rename(r.git, moved); err != nil {
				return err
			}
			return os.Symlink(moved, r.git)
		}, "another folder"},
		"emptied": {func(r *Repo) error { return os.RemoveAll(r.path("objects")) }, "not a git repository"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			r := withVersions(t, 1)
			require.NoError(t, c.spoil(r))
			_, err := Open(r.Root())
			assert.ErrorIs(t, err, ErrUnsupported)
			assert.ErrorContains(t, err, c.says)
		})
	}
	r := withVersions(t, 1)
	require.NoError(t, os.WriteFile(r.path("config"), []byte("[core\n"), 0o666))
	_, err := Open(r.Root())
	assert.ErrorContains(t, err, "config")
}

// What the git program itself makes of these formats.
func TestOpenRefusesRepositoriesThatGitMade(t *testing.T) {
	needsGit(t)
	dir := t.TempDir()
	git(t, dir, "init", "-q", "--object-format=sha256", ".") // known to git since 2020
	_, err := Open(dir)
	assert.ErrorIs(t, err, ErrUnsupported)
	assert.ErrorContains(t, err, "sha256")

	r := withVersions(t, 3)
	shallow := filepath.Join(t.TempDir(), "shallow")
	git(t, r.Root(), "clone", "-q", "--depth=1", "file://"+r.Root(), shallow)
	_, err = Open(shallow)
	assert.ErrorContains(t, err, "shallow")
	shared := filepath.Join(t.TempDir(), "shared")
	git(t, r.Root(), "clone", "-q", "--shared", r.Root(), shared)
	_, err = Open(shared)
	assert.ErrorContains(t, err, "alternates")
	linked := filepath.Join(t.TempDir(), "linked")
	git(t, r.Root(), "worktree", "add", "-q", linked, "HEAD~")
	_, err = Open(linked)
	assert.ErrorContains(t, err, "another folder")
}

func TestNamesOfVersionsAndBranches(t *testing.T) {
	for _, good := range []string{"a", "bed", "cafe", "first-cut", "fitting", "fitting-two", "x9", "a-", strings.Repeat("a", 80)} {
		assert.NoError(t, ValidName(good), good)
	}
	for _, bad := range []string{"", "1", "12ab", "A", "ä", "a b", "a/b", "a.lock", "-a", "a..b", "a\n", "first", "last", "working", "fitting-2", "fitting-02", "con", "lpt1", strings.Repeat("a", 81)} {
		assert.Error(t, ValidName(bad), bad)
	}
}

func TestPrintable(t *testing.T) {
	for in, out := range map[string]string{
		"": "", "plain": "plain", "ä\tö\n": "ä\tö\n", "\x1b[31m": "␛[31m", "a\r\nb\rc": "a\nb␍c",
		"\x00\x7f": "␀␡", "\u009b1m": "\uFFFD1m", "\xff": "\uFFFD", "\uFFFD": "\uFFFD", "a\u202eb\u2066": "a\uFFFDb\uFFFD", "שלום\u200f": "שלום\u200f",
	} {
		assert.Equal(t, out, Printable(in), "%q", in)
	}
}
