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

// The git program is the judge of everything stored.

func TestGitAcceptsWhatIsStored(t *testing.T) {
	needsGit(t)
	r := started(t, smock(0))
	fsck(t, r.Root())
	_, err := r.Commit(smock(1), CommitOptions{Text: "hem up by 1\n\nand a line more  \n", Author: someone, Time: at(1), Fitting: 1})
	require.NoError(t, err)
	_, err = r.Commit(smock(2), CommitOptions{Text: "hem up by 2", Author: someone, Time: at(2), Answers: []string{"1.1", "1.2"}})
	require.NoError(t, err)
	fsck(t, r.Root())
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	assert.Equal(t, "Orchard <orchard@example.org> 2026-04-01T11:00:00+02:00 hem up by 2\n"+
		"Orchard <orchard@example.org> 2026-04-01T10:00:00+02:00 hem up by 1",
		git(t, r.Root(), "log", "--format=%an <%ae> %aI %s"))
	assert.Equal(t, "hem up by 1\n\nand a line more\n\nToile-Branch: working\nFitting: 1",
		strings.TrimRight(git(t, r.Root(), "log", "-1", "--format=%B", "HEAD~"), "\n"))
	assert.Equal(t, "Fitting: 1", git(t, r.Root(), "log", "-1", "--format=%(trailers:key=Fitting)", "HEAD~")[:10])
	assert.Equal(t, "working", git(t, r.Root(), "branch", "--show-current"))
	for name, content := range smock(2).complete() {
		assert.Equal(t, string(content), git(t, r.Root(), "show", "HEAD:"+name)+"\n")
	}
	copied := filepath.Join(t.TempDir(), "copy")
	git(t, t.TempDir(), "clone", "-q", r.Root(), copied)
	assert.Equal(t, onDisk(t, r.Root(), ".git"), onDisk(t, copied, ".git"))
	other, err := Open(copied)
	require.NoError(t, err)
	last, err := other.Last()
	require.NoError(t, err)
	mine, err := r.Last()
	require.NoError(t, err)
	assert.Equal(t, mine, last)
}

// The index holds what git compares, so that git need not read the files: with
// the objects made unreadable to git's comparison it would have to.
func TestIndexCarriesWhatTheDiskSays(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 2)
	out := git(t, r.Root(), "ls-files", "--debug", "pieces/back.yaml")
	info, err := os.Stat(filepath.Join(r.Root(), "pieces/back.yaml"))
	require.NoError(t, err)
	assert.Contains(t, out, "size: "+itoa(int(info.Size())))
	assert.Contains(t, out, "mtime: "+itoa(int(info.ModTime().Unix()))+":"+itoa(info.ModTime().Nanosecond()))
	put(t, r, "pieces/back.yaml", "name: back\nhem: 111\n")
	assert.Equal(t, " M pieces/back.yaml", git(t, r.Root(), "status", "--porcelain"))
}

func TestGitContinuesAndWeContinue(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 2)
	put(t, r, "pieces/back.yaml", "name: back\nby: git\n")
	put(t, r, "README.md", "not the pattern's\n")
	put(t, r, "docs/notes/cloth.txt", "linen\n")
	put(t, r, "pieces/notes.txt", "not the pattern's either\n")
	git(t, r.Root(), "add", "-A")
	git(t, r.Root(), "commit", "-q", "-m", "made by git\n\nwith a body")
	other := reopened(t, r)
	last, err := other.Last()
	require.NoError(t, err)
	assert.Equal(t, 3, last.Number)
	assert.Equal(t, "made by git\n\nwith a body", last.Text)
	assert.Empty(t, last.Branch)
	files, err := other.Read(*last)
	require.NoError(t, err)
	assert.Equal(t, "name: back\nby: git\n", string(files["pieces/back.yaml"]))
	assert.NotContains(t, files, "README.md")

	v := commit(t, other, 4, smock(4))
	assert.Equal(t, 4, v.Number)
	assert.Equal(t, "working", v.Branch)
	fsck(t, r.Root())
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	assert.Equal(t, "linen", git(t, r.Root(), "show", "HEAD:docs/notes/cloth.txt"), "somebody else's files are carried on")
	assert.Equal(t, "not the pattern's either", git(t, r.Root(), "show", "HEAD:pieces/notes.txt"))
	changed, added, removed, err := other.Changed(v)
	require.NoError(t, err)
	assert.Equal(t, []string{"pieces/back.yaml"}, changed)
	assert.Empty(t, added)
	assert.Empty(t, removed)
}

func TestStagedFilesOfOthersStayStaged(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	put(t, r, "README.md", "one\n")
	git(t, r.Root(), "add", "README.md")
	commit(t, r, 2, smock(2))
	assert.Equal(t, "A  README.md", git(t, r.Root(), "status", "--porcelain"))
	git(t, r.Root(), "commit", "-q", "-m", "readme")
	put(t, r, "README.md", "two\n")
	commit(t, reopened(t, r), 3, smock(3))
	assert.Equal(t, " M README.md", git(t, r.Root(), "status", "--porcelain"))
	fsck(t, r.Root())
}

// A file that another program has put into the index and somebody changes in
// the same second is still seen as changed when the index is written in the next
// one: git compares whole seconds.
func TestFileChangedInTheSecondOfTheIndex(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	second := time.Now().Truncate(time.Second).Add(-2 * time.Second)
	file := filepath.Join(r.Root(), "README.md")
	put(t, r, "README.md", "one\n")
	require.NoError(t, os.Chtimes(file, second, second))
	git(t, r.Root(), "-c", "core.trustctime=false", "add", "README.md")
	git(t, r.Root(), "-c", "core.trustctime=false", "commit", "-q", "-m", "readme")
	index := second.Add(500 * time.Millisecond)
	require.NoError(t, os.Chtimes(r.path(indexFile), index, index))
	put(t, r, "README.md", "two\n")
	changed := second.Add(700 * time.Millisecond)
	require.NoError(t, os.Chtimes(file, changed, changed))
	commit(t, reopened(t, r), 3, smock(3))
	assert.Equal(t, " M README.md", git(t, r.Root(), "-c", "core.trustctime=false", "status", "--porcelain"))
}

func TestReadingAfterGitRepacks(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 5)
	third, err := r.Resolve("3")
	require.NoError(t, err)
	git(t, r.Root(), "gc", "-q", "--prune=now")
	files, err := r.Read(third)
	require.NoError(t, err)
	assert.Equal(t, smock(3).complete(), files)
	commit(t, r, 6, smock(6))
	git(t, r.Root(), "repack", "-q", "-a", "-d", "-f", "--window=3") // packs under an open handle
	git(t, r.Root(), "pack-refs", "--all")
	commit(t, r, 7, smock(7))
	git(t, r.Root(), "repack", "-q", "-a", "-d")
	versions, err := r.History()
	require.NoError(t, err)
	assert.Equal(t, []int{7, 6, 5, 4, 3, 2, 1}, numbersOf(versions))
	for _, v := range versions {
		files, err := r.Read(v)
		require.NoError(t, err)
		assert.Equal(t, smock(v.Number).complete(), files)
	}
	fsck(t, r.Root())
}

func TestPackedBranchMovesOn(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 2)
	git(t, r.Root(), "pack-refs", "--all")
	require.NoFileExists(t, r.path("refs/heads/working"))
	v := commit(t, r, 3, smock(3))
	assert.Equal(t, v.ID, git(t, r.Root(), "rev-parse", "working"))
	fsck(t, r.Root())
}

func TestUseAgreesWithGit(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 2)
	first, err := r.Resolve("first")
	require.NoError(t, err)
	require.NoError(t, r.NewBranch("short-sleeves", first))
	require.NoError(t, r.Use("short-sleeves"))
	assert.Equal(t, "short-sleeves", git(t, r.Root(), "branch", "--show-current"))
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	files := with(smock(1), "pieces/cuff.yaml", "name: cuff\n")
	v := commit(t, r, 5, files)
	assert.Equal(t, 2, v.Number)
	assert.Equal(t, "short-sleeves", v.Branch)
	require.NoError(t, r.Use("working"))
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	assert.NoFileExists(t, filepath.Join(r.Root(), "pieces/cuff.yaml"))
	assert.Equal(t, "name: back\nhem: 598\n", get(t, r, "pieces/back.yaml"))
	git(t, r.Root(), "checkout", "-q", "short-sleeves")
	assert.FileExists(t, filepath.Join(r.Root(), "pieces/cuff.yaml"))
	last, err := r.Last()
	require.NoError(t, err)
	assert.Equal(t, v, *last)
	fsck(t, r.Root())
}

func TestDetachedFolder(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 2)
	git(t, r.Root(), "checkout", "-q", "HEAD~")
	_, err := r.Last()
	assert.ErrorIs(t, err, ErrNoBranch)
	assert.ErrorContains(t, err, "`git switch working` puts it back")
	_, err = r.Commit(smock(9), CommitOptions{Text: "lost", Author: someone, Time: at(9)})
	assert.ErrorIs(t, err, ErrNoBranch)
	require.NoError(t, r.Use("working"))
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	assert.Equal(t, "working", git(t, r.Root(), "branch", "--show-current"))
}

func TestMessyAuthorsPassFsck(t *testing.T) {
	needsGit(t)
	r := started(t, smock(0))
	authors := []Author{
		{Name: "A <b> c\nd\x00\x1b[31m", Email: "x>y <z>"},
		{Name: "  ", Email: ""},
		{Name: "\xff\xfe", Email: "\n"},
		{Name: "<>", Email: "<>"},
	}
	for i, a := range authors {
		_, err := r.Commit(smock(i+1), CommitOptions{Text: "x", Author: a, Time: at(i)})
		require.NoError(t, err)
		fsck(t, r.Root())
	}
	assert.Contains(t, git(t, r.Root(), "log", "--format=%an <%ae>"), "A b c d [31m <xy z>")
}

// A name given by the git program, with a message of its own, and one given to
// something that is no version.
func TestNamesFromGit(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 2)
	git(t, r.Root(), "tag", "-a", "-m", "for the first smock", "cut-out", "HEAD~")
	git(t, r.Root(), "tag", "a-file", "HEAD:pattern.yaml")
	v, err := r.Resolve("cut-out")
	require.NoError(t, err)
	assert.Equal(t, 1, v.Number)
	require.NoError(t, r.Name("sent", v))
	assert.Equal(t, v.ID, git(t, r.Root(), "rev-parse", "refs/tags/sent"))
	names, err := r.Names()
	require.NoError(t, err)
	assert.Equal(t, map[string]string{"cut-out": v.ID, "sent": v.ID}, names)
	err = r.Name("sent", v)
	assert.ErrorContains(t, err, "taken by version 1")
	fsck(t, r.Root())
}

func TestUnfinishedMergeIsLeftAlone(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 2)
	put(t, r, ".git/MERGE_HEAD", git(t, r.Root(), "rev-parse", "HEAD")+"\n")
	_, err := r.Commit(smock(3), CommitOptions{Text: "x", Author: someone, Time: at(3)})
	assert.ErrorContains(t, err, "MERGE_HEAD")
	assert.ErrorContains(t, r.Use("working"), "MERGE_HEAD")
}

// Numbers follow from the parents whatever made the version.
func TestNumbersOverMergesByGit(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 3)
	git(t, r.Root(), "checkout", "-q", "-b", "side", "HEAD~2")
	put(t, r, "pieces/yoke.yaml", "name: yoke\n")
	git(t, r.Root(), "add", "-A")
	git(t, r.Root(), "commit", "-q", "-m", "yoke")
	git(t, r.Root(), "checkout", "-q", "working")
	git(t, r.Root(), "merge", "-q", "--no-ff", "-m", "both", "side")
	versions, err := reopened(t, r).History()
	require.NoError(t, err)
	assert.Equal(t, []int{4, 3, 2, 2, 1}, numbersOf(versions))
	assert.Len(t, versions[0].Parents, 2)
	assert.True(t, versions[2].Time.After(versions[3].Time), "the newer first")
	_, added, _, err := r.Changed(versions[0])
	require.NoError(t, err)
	assert.Equal(t, []string{"pieces/yoke.yaml"}, added)
}

// An identity that git wrote comes back as it is, and its offset too.
func TestTimesKeepTheirOffset(t *testing.T) {
	needsGit(t)
	r := started(t, smock(0))
	for i, offset := range []int{0, 5*3600 + 1800, -9*3600 - 1800, 14 * 3600} {
		when := time.Date(2026, 5, 1, 12, i, 30, 0, time.FixedZone("", offset))
		v, err := r.Commit(smock(i+1), CommitOptions{Text: "x", Author: someone, Time: when})
		require.NoError(t, err)
		assert.Equal(t, when.Format(time.RFC3339), v.Time.Format(time.RFC3339))
		assert.Equal(t, when.Format("2006-01-02T15:04:05-07:00"), strings.Replace(git(t, r.Root(), "log", "-1", "--format=%aI"), "Z", "+00:00", 1))
	}
	_, err := r.Commit(smock(9), CommitOptions{Text: "x", Author: someone, Time: time.Date(1969, 1, 1, 0, 0, 0, 0, time.UTC)})
	assert.ErrorContains(t, err, "1970")
}
