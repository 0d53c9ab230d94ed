package repo

import (
	"bytes"
	"errors"
	"fmt"
	"hash/crc32"
	"io/fs"
	"os"
	"strings"
)

// headsFile keeps the beginnings of piece files, which hold their names, by the id
// of the whole content: so the pieces that have not changed are named without
// reading them. It can go at any time. It is no more than a shortcut: whoever uses
// it reads the pieces that matter, and sees there whether it told the truth.
const headsFile = "heads"

const (
	headsHead = "beginnings of pieces\n"
	// maxHeads bounds what is read of it, in bytes.
	maxHeads = 16 << 20
	// spareHeads is how much of it may be of no use any more, in bytes.
	spareHeads = 64 << 10
	// maxHead is the longest beginning that is kept, in bytes.
	maxHead = 1024
)

// Heads returns what KeepHeads kept of the contents with these ids.
func (r *Repo) Heads(ids map[string]string) map[string]string {
	heads := make(map[string]string, len(ids))
	text, ok := r.readHeads()
	if !ok {
		return heads
	}
	wanted := make(map[string]bool, len(ids))
	for _, id := range ids {
		wanted[id] = true
	}
	lines := &summer{}
	for line := range strings.Lines(text) {
		sum, body, _ := strings.Cut(strings.TrimSuffix(line, "\n"), " ")
		id, head, ok := strings.Cut(body, " ")
		if ok && wanted[id] && lines.sums(sum, body) {
			heads[id] = strings.ReplaceAll(head, "\t", "\n")
		}
	}
	return heads
}

func (r *Repo) readHeads() (string, bool) {
	info, err := os.Lstat(r.own(headsFile))
	if err != nil || !info.Mode().IsRegular() || info.Size() > maxHeads {
		return "", false
	}
	text, err := readText(r.own(headsFile))
	if err != nil {
		return "", false
	}
	return strings.CutPrefix(text, headsHead)
}

// KeepHeads keeps the beginnings of contents, by id, of which so many were not kept
// yet. A few are not worth a write. It needs no lock: lines are whole or not
// believed, and what two commands write at once is found again or not.
func (r *Repo) KeepHeads(heads map[string]string, missing int) {
	if missing <= fewMissing {
		return
	}
	var b bytes.Buffer
	for id, head := range heads {
		if len(head) <= maxHead && !strings.ContainsAny(head, "\t\r") {
			body := id + " " + strings.ReplaceAll(head, "\n", "\t")
			fmt.Fprintf(&b, "%08x %s\n", crc32.ChecksumIEEE([]byte(body)), body)
		}
	}
	path := r.own(headsFile)
	info, err := os.Lstat(path)
	switch {
	case err == nil && info.Mode().IsRegular() && info.Size() < spareHeads+int64(b.Len()) && startsWith(path, headsHead):
		_ = r.ops.Append(path, append([]byte("\n"), b.Bytes()...)) // it is only a shortcut
	case err == nil || errors.Is(err, fs.ErrNotExist):
		temp, _, err := stage(r.ops, r.own(""), "heads-", append([]byte(headsHead), b.Bytes()...), 0o666)
		if err == nil && r.ops.Rename(temp, path) != nil {
			_ = r.ops.Remove(temp)
		}
	}
}
