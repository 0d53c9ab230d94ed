package repo

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func itoa(n int) string { return strconv.Itoa(n) }

func TestFirstVersions(t *testing.T) {
	r := started(t, smock(0))
	last, err := r.Last()
	require.NoError(t, err)
	assert.Nil(t, last)
	history, err := r.History()
	require.NoError(t, err)
	assert.Empty(t, history)
	names, err := r.Dirty(smock(0))
	require.NoError(t, err)
	assert.Equal(t, smock(0).complete().names(), names)

	v := commit(t, r, 1, smock(0))
	assert.Equal(t, 1, v.Number)
	assert.Equal(t, "change 1", v.Text)
	assert.Equal(t, "Orchard", v.Who)
	assert.Equal(t, FirstBranch, v.Branch)
	assert.True(t, v.Time.Equal(at(1)))
	files, err := r.Read(v)
	require.NoError(t, err)
	assert.Equal(t, smock(0).complete(), files)
	changed, added, removed, err := r.Changed(v)
	require.NoError(t, err)
	assert.Empty(t, changed)
	assert.Equal(t, smock(0).complete().names(), added)
	assert.Empty(t, removed)

	before := onDisk(t, r.Root())
	_, err = r.Commit(smock(0), CommitOptions{Text: "again", Author: someone, Time: at(2)})
	assert.ErrorIs(t, err, ErrNothingChanged)
	assert.Equal(t, before, onDisk(t, r.Root()))
}

func TestChangedAddedRemoved(t *testing.T) {
	r := withVersions(t, 1)
	files := with(smock(2), "pieces/pocket.yaml", "name: pocket\n")
	delete(files, "pieces/front.yaml")
	names, err := r.Dirty(files)
	require.NoError(t, err)
	assert.Equal(t, []string{"pieces/back.yaml", "pieces/front.yaml", "pieces/pocket.yaml"}, names)
	v := commit(t, r, 2, files)
	changed, added, removed, err := r.Changed(v)
	require.NoError(t, err)
	assert.Equal(t, []string{"pieces/back.yaml"}, changed)
	assert.Equal(t, []string{"pieces/pocket.yaml"}, added)
	assert.Equal(t, []string{"pieces/front.yaml"}, removed)
	assert.NoFileExists(t, filepath.Join(r.Root(), "pieces/front.yaml"))
	working, err := r.Working()
	require.NoError(t, err)
	assert.Equal(t, files.complete(), working)
}

func TestFoldersMayEmpty(t *testing.T) {
	r := withVersions(t, 1)
	v := commit(t, r, 2, Files{PatternFile: []byte("format: 1\n")})
	files, err := r.Read(v)
	require.NoError(t, err)
	assert.Equal(t, []string{AttributesFile, PatternFile}, files.names())
	v = commit(t, r, 3, smock(3))
	files, err = r.Read(v)
	require.NoError(t, err)
	assert.Equal(t, smock(3).complete(), files)
}

func TestCommitRefusesBadInput(t *testing.T) {
	r := withVersions(t, 1)
	good := CommitOptions{Text: "x", Author: someone, Time: at(2)}
	cases := []struct {
		name  string
		files Files
		o     func(o CommitOptions) CommitOptions
		says  string
	}{
		{"no text", smock(2), func(o CommitOptions) CommitOptions { o.Text = " \n\t"; return o }, "no text"},
		{"NUL", smock(2), func(o CommitOptions) CommitOptions { o.Text = "a\x00b"; return o }, "NUL"},
		{"not UTF-8", smock(2), func(o CommitOptions) CommitOptions { o.Text = "a\xffb"; return o }, "UTF-8"},
		{"fitting", smock(2), func(o CommitOptions) CommitOptions { o.Fitting = -1; return o }, "fitting -1"},
		{"answers", smock(2), func(o CommitOptions) CommitOptions { o.Answers = []string{"2.1\nFitting: 9"}; return o }, "note"},
		{"merge", smock(2), func(o CommitOptions) CommitOptions { o.Merges = []string{"working"}; return o }, "not the id"},
		{"merge unknown", smock(2), func(o CommitOptions) CommitOptions { o.Merges = []string{strings.Repeat("ab", 20)}; return o }, "missing"},
		{"no pattern file", Files{"pieces/a.yaml": nil}, nil, PatternFile},
		{"upwards", with(smock(2), "../x.yaml", ""), nil, "../x.yaml"},
		{"absolute", with(smock(2), "/pieces/x.yaml", ""), nil, "/pieces/x.yaml"},
		{"backslash", with(smock(2), `pieces\x.yaml`, ""), nil, "not a file of a pattern"},
		{"too deep", with(smock(2), "pieces/a/x.yaml", ""), nil, "pieces/a/x.yaml"},
		{"case", with(smock(2), "pieces/Back.yaml", ""), nil, "lower-case"},
		{"Windows", with(smock(2), "pieces/con.yaml", ""), nil, "Windows"},
		{"stream", with(smock(2), "pieces/a:b.yaml", ""), nil, "lower-case"},
		{"dot", with(smock(2), "pieces/.git.yaml", ""), nil, "lower-case"},
		{"size", with(smock(2), "pieces/a.yaml", strings.Repeat("x", MaxFileSize+1)), nil, "1048577 bytes"},
	}
	before := onDisk(t, r.Root())
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			o := good
			if c.o != nil {
				o = c.o(o)
			}
			_, err := r.Commit(c.files, o)
			assert.ErrorContains(t, err, c.says)
			assert.Equal(t, before, onDisk(t, r.Root()), "a refusal changes nothing")
		})
	}
}

func TestTextIsKeptAndShownSafely(t *testing.T) {
	r := started(t, smock(0))
	v, err := r.Commit(smock(1), CommitOptions{Text: "  Säume\tkürzer\r\n\x1b[2Jweg \u202eabc\n\nFitting: 9\n \n", Author: Author{Name: "Jö \x1b[1m"}, Time: at(1), Fitting: 3, Answers: []string{"2.1", "2.2"}})
	require.NoError(t, err)
	assert.Equal(t, "  Säume\tkürzer\n␛[2Jweg �abc\n\nFitting: 9", v.Text)
	assert.Equal(t, 3, v.Fitting)
	assert.Equal(t, []string{"2.1", "2.2"}, v.Answers)
	assert.Equal(t, "Jö [1m", v.Who)
	c, err := r.commit(plumbing.NewHash(v.ID))
	require.NoError(t, err)
	assert.Equal(t, "  Säume\tkürzer\r\n\x1b[2Jweg \u202eabc\n\nFitting: 9\n\nToile-Branch: working\nFitting: 3\nAnswers: 2.1\nAnswers: 2.2\n", c.Message, "stored as typed")
}

// The working folder takes the canonical form that the caller commits; what lies
// there besides stays.
func TestCommitBringsTheFolderAlong(t *testing.T) {
	r := withVersions(t, 1)
	put(t, r, "pieces/back.yaml", "{name: back, hem: 598}\n")
	put(t, r, "pieces/sketch.png", "a picture")
	put(t, r, "mock-up.jpg", "a photograph")
	require.NoError(t, os.Chmod(filepath.Join(r.Root(), "pieces/back.yaml"), 0o640))
	commit(t, r, 2, smock(2))
	assert.Equal(t, "name: back\nhem: 598\n", get(t, r, "pieces/back.yaml"))
	assert.Equal(t, "a picture", get(t, r, "pieces/sketch.png"))
	assert.Equal(t, "a photograph", get(t, r, "mock-up.jpg"))
	info, err := os.Stat(filepath.Join(r.Root(), "pieces/back.yaml"))
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o640), info.Mode().Perm())
}

// A file made executable by mistake: versions hold plain files, and git must
// still see a clean folder.
func TestExecutableFile(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	file := filepath.Join(r.Root(), "pieces/front.yaml")
	require.NoError(t, os.Chmod(file, 0o755))
	git(t, r.Root(), "commit", "-q", "-a", "-m", "executable")
	last, err := r.Last()
	require.NoError(t, err)
	files, err := r.Read(*last)
	require.NoError(t, err)
	assert.Equal(t, smock(1).complete(), files)
	commit(t, r, 3, smock(3))
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	info, err := os.Stat(file)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o644), info.Mode().Perm())
	assert.Contains(t, git(t, r.Root(), "ls-tree", "HEAD", "pieces/front.yaml"), "100644")
}

func TestFileSavedMeanwhileIsNotOverwritten(t *testing.T) {
	r := withVersions(t, 1)
	unlock, err := r.Lock()
	require.NoError(t, err)
	_, err = r.Working()
	require.NoError(t, err)
	put(t, r, "pieces/back.yaml", "name: back\nsaved: by an editor\n")
	before := onDisk(t, r.Root(), ".git/objects")
	_, err = r.Commit(smock(2), CommitOptions{Text: "x", Author: someone, Time: at(2)})
	assert.ErrorIs(t, err, ErrMoved)
	assert.ErrorContains(t, err, "pieces/back.yaml")
	assert.ErrorIs(t, r.WriteWorking(Files{"pieces/back.yaml": []byte("other")}, nil), ErrMoved)
	assert.Equal(t, before, onDisk(t, r.Root(), ".git/objects"))
	unlock()
	put(t, r, "pieces/new.yaml", "name: new\n")
	_, err = r.Commit(smock(2), CommitOptions{Text: "x", Author: someone, Time: at(2)})
	assert.ErrorContains(t, err, "pieces/new.yaml", "a file never kept and not read is not removed")
	assert.Equal(t, "name: new\n", get(t, r, "pieces/new.yaml"))
}

func TestBranchMovedSinceTheLock(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	unlock, err := r.Lock()
	require.NoError(t, err)
	defer unlock()
	_, err = r.Working()
	require.NoError(t, err)
	put(t, r, "pieces/front.yaml", "name: front\nby: git\n")
	git(t, r.Root(), "commit", "-q", "-a", "-m", "in between")
	_, err = r.Commit(smock(2), CommitOptions{Text: "x", Author: someone, Time: at(2)})
	assert.ErrorIs(t, err, ErrMoved)
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
}

func TestMergeHasTwoParents(t *testing.T) {
	r := withVersions(t, 2)
	first, err := r.Resolve("1")
	require.NoError(t, err)
	require.NoError(t, r.NewBranch("side", first))
	require.NoError(t, r.Use("side"))
	side := commit(t, r, 3, with(smock(1), "pieces/cuff.yaml", "name: cuff\n"))
	require.NoError(t, r.Use("working"))
	last, err := r.Last()
	require.NoError(t, err)
	v, err := r.Commit(smock(2), CommitOptions{Text: "side looked at, nothing taken", Author: someone, Time: at(4), Merges: []string{side.ID}})
	require.NoError(t, err)
	assert.Equal(t, []string{last.ID, side.ID}, v.Parents)
	assert.Equal(t, 3, v.Number)
	_, err = r.Commit(smock(3), CommitOptions{Text: "x", Author: someone, Time: at(5), Merges: []string{v.ID}})
	assert.ErrorContains(t, err, "itself")
}

func TestBranches(t *testing.T) {
	r := started(t, smock(0))
	branches, err := r.Branches()
	require.NoError(t, err)
	assert.Equal(t, []BranchInfo{{Name: "working", Current: true}}, branches)
	v := commit(t, r, 1, smock(1))
	require.NoError(t, r.NewBranch("bed", v))
	err = r.NewBranch("bed", v)
	assert.ErrorContains(t, err, "already")
	branches, err = r.Branches()
	require.NoError(t, err)
	assert.Equal(t, []BranchInfo{{Name: "bed", Last: &v}, {Name: "working", Last: &v, Current: true}}, branches)
	assert.ErrorContains(t, r.Use("nowhere"), "bed, working")
	assert.ErrorContains(t, r.NewBranch("Bed", v), `"Bed"`)
	assert.Error(t, r.NewBranch("empty", Version{}))

	put(t, r, "pieces/back.yaml", "changed by hand\n")
	before := onDisk(t, r.Root(), ".git/toile")
	var unsaved *UnsavedError
	require.ErrorAs(t, r.Use("bed"), &unsaved)
	assert.Equal(t, []string{"pieces/back.yaml"}, unsaved.Names)
	assert.ErrorContains(t, unsaved, "commit first")
	assert.Equal(t, before, onDisk(t, r.Root(), ".git/toile"))
}

func TestDefaultAuthor(t *testing.T) {
	home := t.TempDir()
	t.Setenv("HOME", home)
	t.Setenv("USERPROFILE", home)
	t.Setenv("XDG_CONFIG_HOME", filepath.Join(home, "none"))
	r := started(t, smock(0))
	assert.NotEmpty(t, r.DefaultAuthor("").Name, "the account's name, or a word for nobody")
	require.NoError(t, os.WriteFile(filepath.Join(home, ".gitconfig"), []byte("[user]\n\tname = Global\n\temail = g@example.org\n"), 0o666))
	assert.Equal(t, Author{"Global", "g@example.org"}, r.DefaultAuthor(""))
	assert.Equal(t, Author{"Global", "g@example.org"}, r.DefaultAuthor("Global"))
	assert.Equal(t, Author{"Other", ""}, r.DefaultAuthor("Other"))
	assert.Equal(t, Author{"Other", "o@example.org"}, r.DefaultAuthor(" Other <o@example.org> "))
	require.NoError(t, os.WriteFile(r.path("config"), []byte(firstConfig(true)+"[user]\n\tname = Local\n"), 0o666))
	assert.Equal(t, Author{"Local", "g@example.org"}, reopened(t, r).DefaultAuthor(""))
	v, err := reopened(t, r).Commit(smock(1), CommitOptions{Text: "x"})
	require.NoError(t, err)
	assert.Equal(t, "Local", v.Who)
}

func FuzzMessage(f *testing.F) {
	f.Add("hem up", 0, "")
	f.Add("a\n\nToile-Branch: working", 2, "2.1")
	f.Add("\n\n x\n\n\nFitting: 3\n", 1, "1")
	f.Fuzz(func(t *testing.T, text string, fitting int, answer string) {
		n := note{text: text, branch: "working", fitting: fitting}
		if answer != "" {
			n.answers = []string{answer}
		}
		message, err := n.encode()
		if err != nil {
			return
		}
		stored, err := checkText(text)
		require.NoError(t, err)
		n.text = stored
		content, err := encodeCommit(plumbing.ZeroHash, nil, someone, at(0), message)
		require.NoError(t, err)
		c, err := decodeCommit(content)
		require.NoError(t, err)
		require.Equal(t, n, decodeMessage(c.Message))
	})
}

func TestTrailersThatOthersTouched(t *testing.T) {
	cases := []struct{ message, text, branch string }{
		{"text\n\nToile-Branch: working\nFitting: 2\nSigned-off-by: Orchard <o@example.org>\n", "text\n\nSigned-off-by: Orchard <o@example.org>", "working"},
		{"text\n\nToile-Branch: side\n(taken over from another branch)\n", "text\n\n(taken over from another branch)", "side"},
		{"text\n\nFitting: 2\n", "text\n\nFitting: 2", ""},
		{"Toile-Branch: working\n", "Toile-Branch: working", ""},
		{"text\n\nToile-Branch: working\nFitting: 0\nFitting: x\n", "text\n\nFitting: 0\nFitting: x", "working"},
		{"", "", ""},
	}
	for _, c := range cases {
		n := decodeMessage(c.message)
		assert.Equal(t, c.text, n.text, fmt.Sprintf("%q", c.message))
		assert.Equal(t, c.branch, n.branch)
	}
}
