package repo

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// joined is a history with two versions numbered 2 and two numbered 3:
//
//	1 ── 2 ── 3 ────────── 5 ── 6   working
//	│                     ╱
//	├── 2' ── 3' ── 4' ──╯          side
//	╰── 2''                         apart
func joined(t *testing.T) (r *Repo, v map[string]Version) {
	r = started(t, smock(0))
	v = map[string]Version{}
	n := 0
	add := func(name string, o CommitOptions) {
		n++
		o.Text, o.Author, o.Time = name, someone, at(n)
		version, err := r.Commit(smock(n), o)
		require.NoError(t, err)
		v[name] = version
	}
	add("1", CommitOptions{Fitting: 1})
	require.NoError(t, r.NewBranch("side", v["1"]))
	require.NoError(t, r.NewBranch("apart", v["1"]))
	add("2", CommitOptions{})
	add("3", CommitOptions{Fitting: 2})
	require.NoError(t, r.Use("side"))
	add("2'", CommitOptions{})
	add("3'", CommitOptions{Fitting: 3})
	add("4'", CommitOptions{Fitting: 2})
	require.NoError(t, r.Use("apart"))
	add("2''", CommitOptions{Fitting: 7})
	require.NoError(t, r.Use("working"))
	add("5", CommitOptions{Merges: []string{v["4'"].ID}})
	add("6", CommitOptions{})
	require.NoError(t, r.Name("bed", v["2'"]))
	require.NoError(t, r.Name("sent-to-helper", v["3"]))
	return r, v
}

func TestResolve(t *testing.T) {
	r, v := joined(t)
	for text, want := range map[string]string{
		"first": "1", "last": "6", "1": "1", "2": "2", "3": "3", "4": "4'", "5": "5", "6": "6",
		"side:2": "2'", "side:4": "4'", "side:last": "4'", "apart:2": "2''", "apart:first": "1", "working:4": "4'",
		"fitting-1": "1", "fitting-2": "4'", "fitting-3": "3'",
		"bed": "2'", "sent-to-helper": "3",
		"side": "4'", "apart": "2''", "working": "6",
		v["2''"].ID:                     "2''",
		v["3'"].ID[:12]:                 "3'",
		strings.ToUpper(v["5"].ID):      "5",
		strings.ToUpper(v["5"].ID[:20]): "5",
	} {
		got, err := r.Resolve(text)
		if assert.NoError(t, err, text) {
			assert.Equal(t, v[want], got, text)
		}
	}
}

func TestResolveRefuses(t *testing.T) {
	r, v := joined(t)
	for text, says := range map[string]string{
		"12":                      "there is no version 12; the last is 6",
		"0":                       "there is no version 0; the last is 6",
		"-1":                      "there is no version",
		"side:9":                  "there is no version 9 on the branch \"side\"; the last there is 4",
		"nowhere:1":               "apart, side, working",
		"side:bed":                "type a number",
		"side:":                   "type a number",
		"fitting-9":               "there is fitting-1, fitting-3, fitting-2",
		"fitting-7":               "no version was committed for fitting 7",
		"fitting-0":               "no version was committed for fitting 0",
		"cuff":                    "numbers go from 1 to 6; names: bed, sent-to-helper; branches: apart, side, working",
		"":                        "there is no version \"\"",
		"HEAD":                    "there is no version",
		"HEAD~1":                  "there is no version",
		"refs/heads/working":      "there is no version",
		"\x1b[2J":                 "␛",
		v["1"].ID[:3]:             "there is no version",
		v["1"].ID + "0":           "there is no version",
		"99999999999999999999999": "there is no version",
		strings.Repeat("0", 40):   "there is no version",
		"working@{1}":             "there is no version",
	} {
		_, err := r.Resolve(text)
		var none *NoVersionError
		if assert.ErrorAs(t, err, &none, "%q", text) {
			assert.Equal(t, text, none.Text)
			assert.ErrorContains(t, err, says, "%q", text)
			assert.NotContains(t, err.Error(), "\x1b")
		}
	}
	empty := started(t, smock(0))
	for _, text := range []string{"1", "last", "first"} {
		_, err := empty.Resolve(text)
		assert.ErrorContains(t, err, "there is no version yet", text)
	}
	_, err := empty.Resolve("fitting-1")
	assert.ErrorContains(t, err, "there is none")
	_, err = empty.Resolve("abcd")
	assert.ErrorContains(t, err, "there is none yet")
}

// Two versions numbered 2 off the branch's own line: the candidates are shown,
// and what is shown can be typed.
func TestResolveAmbiguousNumber(t *testing.T) {
	r, v := joined(t)
	// A merge of side and apart alone, on a line that skips 2: 1 ── 5*.
	require.NoError(t, r.NewBranch("both", v["1"]))
	require.NoError(t, r.Use("both"))
	_, err := r.Commit(smock(90), CommitOptions{Text: "both", Author: someone, Time: at(90), Merges: []string{v["4'"].ID, v["2''"].ID}})
	require.NoError(t, err)
	_, err = r.Resolve("2")
	var many *AmbiguousError
	require.ErrorAs(t, err, &many)
	require.Len(t, many.Candidates, 2)
	for _, c := range many.Candidates {
		assert.Equal(t, 2, c.Version.Number)
		got, err := r.Resolve(c.Start)
		require.NoError(t, err)
		assert.Equal(t, c.Version, got)
		assert.ErrorContains(t, many, c.Start+"  version 2, Orchard, "+c.Version.Time.Format("2006-01-02 15:04")+": "+c.Version.Text)
	}
	got, err := r.Resolve("3")
	require.NoError(t, err)
	assert.Equal(t, v["3'"], got, "the only ancestor so numbered")
}

// Starts of ids that two versions share, one that is a version's name, and one
// of digits alone that is a version's number.
func TestShortStart(t *testing.T) {
	all := []Version{{Number: 5000, ID: "1234" + strings.Repeat("a", 36)}, {ID: "abcd1" + strings.Repeat("0", 35)}, {ID: "abcd2" + strings.Repeat("0", 35)}, {ID: "bead" + strings.Repeat("0", 36)}}
	r, v := joined(t)
	names, err := r.nameIDs()
	require.NoError(t, err)
	names["bead"] = names["bed"]
	assert.Equal(t, "1234a", shortStart(all[0].ID, all, names))
	assert.Equal(t, "abcd1", shortStart(all[1].ID, all, names))
	assert.Equal(t, "bead0", shortStart(all[3].ID, all, names))
	history, err := r.HistoryOf(v["6"])
	require.NoError(t, err)
	assert.Equal(t, []int{6, 5, 4, 3, 3, 2, 2, 1}, numbersOf(history))
}

// A name and a branch win over the start of an id that looks the same.
func TestNameWinsOverID(t *testing.T) {
	r := withVersions(t, 60)
	all, err := r.History()
	require.NoError(t, err)
	for _, v := range all {
		start := v.ID[:minStart]
		if start[0] < 'a' {
			continue
		}
		other := all[0]
		if other.ID == v.ID {
			other = all[1]
		}
		require.NoError(t, r.Name(start, other))
		require.NoError(t, r.NewBranch(v.ID[:minStart+1], other))
		for _, text := range []string{start, v.ID[:minStart+1]} {
			got, err := r.Resolve(text)
			require.NoError(t, err)
			assert.Equal(t, other, got)
		}
		return
	}
	t.Fatal("no id of 60 begins with a letter")
}

// A fitting is known by the id in its file: the mark in the file's name may be that
// of another, and the old number of one that was taken away is not that of the one
// which bears it now.
func TestResolveFittingByItsID(t *testing.T) {
	r := started(t, smock(0))
	kept := map[string]string{}
	n := 0
	add := func(fitting int, files map[string]string) Version {
		n++
		all := smock(n)
		delete(all, "fittings/01-3fa2.yaml")
		require.NoError(t, os.RemoveAll(filepath.Join(r.Root(), "fittings")))
		for name, id := range files {
			all["fittings/"+name] = []byte("id: " + id + "\n")
		}
		v, err := r.Commit(all, CommitOptions{Text: "v", Author: someone, Time: at(n), Fitting: fitting})
		require.NoError(t, err)
		return v
	}
	kept["01-328a.yaml"] = "328a0001"
	first := add(1, kept)
	kept["02-328a.yaml"] = "'328a0002'"
	second := add(2, kept)
	kept["03-cccc.yaml"] = "cccc0001"
	third := add(3, kept)
	for range 10 { // not by chance
		for text, want := range map[string]Version{"fitting-1": first, "fitting-2": second, "fitting-3": third} {
			got, err := r.Resolve(text)
			require.NoError(t, err, text)
			require.Equal(t, want.ID, got.ID, text)
		}
	}
	delete(kept, "03-cccc.yaml")
	add(0, kept)
	got, err := r.Resolve("fitting-3")
	require.NoError(t, err)
	assert.Equal(t, third.ID, got.ID, "no other bears its number")
	kept["03-dddd.yaml"] = "dddd0001"
	add(0, kept)
	_, err = r.Resolve("fitting-3")
	require.ErrorContains(t, err, "no version was committed for fitting 3, as `toile commit --fitting` does; there is fitting-1, fitting-2")
	delete(kept, "03-dddd.yaml")
	kept["04-dddd.yaml"] = "dddd0001"
	add(4, kept)
	delete(kept, "04-dddd.yaml")
	kept["04-eeee.yaml"] = "eeee0001"
	add(4, kept)
	delete(kept, "04-eeee.yaml")
	add(0, kept)
	var many *AmbiguousError
	_, err = r.Resolve("fitting-4")
	require.ErrorAs(t, err, &many)
	assert.Len(t, many.Candidates, 2)
}

// A version is alone with its number where no merge since brought in another's: the
// same as among all that the last one builds on.
func TestAloneWithItsNumber(t *testing.T) {
	r := withMerge(t)
	all, err := r.History()
	require.NoError(t, err)
	numbers := map[int]int{}
	for _, v := range all {
		numbers[v.Number]++
	}
	said := 0
	for _, v := range all {
		alone, err := r.Alone(v)
		require.NoError(t, err)
		if alone {
			said++
			require.Equal(t, 1, numbers[v.Number], "version %d", v.Number)
		}
	}
	require.Positive(t, said)
	require.Less(t, said, len(all), "what lies behind the merge is not told by the line")
}
