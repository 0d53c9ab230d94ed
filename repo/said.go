package repo

import (
	"bytes"
	"errors"
	"fmt"
	"hash/crc32"
	"os"
	"strings"
)

// saidFile keeps sentences about versions, which take long to work out and never
// change: whoever may write them otherwise one day gives another stamp. Like the
// version table it can go at any time.
const saidFile = "said"

// maxSaid bounds what is read of it, in bytes; 2,000 versions take about 400 KB.
const maxSaid = 64 << 20

// Said returns the texts that KeepSaid kept under the same stamp, by version id.
func (r *Repo) Said(stamp string) map[string]string {
	said := map[string]string{}
	info, err := os.Stat(r.own(saidFile))
	if err != nil || info.Size() > maxSaid {
		return said
	}
	text, err := readText(r.own(saidFile))
	if err != nil {
		return said
	}
	first, rest, _ := strings.Cut(text, "\n")
	if first != saidHead(stamp) {
		return said
	}
	lines := &summer{}
	for line := range strings.Lines(rest) {
		if id, text, ok := lines.parseSaid(strings.TrimSuffix(line, "\n")); ok {
			said[id] = text
		}
	}
	return said
}

func saidHead(stamp string) string { return "sentences of " + oneLineOf(stamp) }

func oneLineOf(s string) string { return strings.ReplaceAll(s, "\n", " ") }

func saidLine(id, text string) string {
	body := id + "\t" + text
	return fmt.Sprintf("%08x\t%s\n", crc32.ChecksumIEEE([]byte(body)), body)
}

func (s *summer) parseSaid(line string) (id, text string, ok bool) {
	sum, body, _ := strings.Cut(line, "\t")
	id, text, ok = strings.Cut(body, "\t")
	return id, text, ok && s.sums(sum, body)
}

// KeepSaid keeps further texts, each of one line. A few are not worth a write.
// It needs no lock: lines are whole or not believed.
func (r *Repo) KeepSaid(stamp string, texts map[string]string) {
	if len(texts) <= fewMissing {
		return
	}
	var b bytes.Buffer
	for id, text := range texts {
		if !strings.ContainsAny(id+text, "\n\r") {
			b.WriteString(saidLine(id, text))
		}
	}
	path := r.own(saidFile)
	head := saidHead(stamp) + "\n"
	if startsWith(path, head) {
		_ = r.ops.Append(path, append([]byte("\n"), b.Bytes()...)) // it is only a shortcut
		return
	}
	temp, _, err := stage(r.ops, r.own(""), "said-", append([]byte(head), b.Bytes()...), 0o666)
	if err == nil && r.ops.Rename(temp, path) != nil {
		_ = r.ops.Remove(temp)
	}
}

func startsWith(path, head string) bool {
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	begins := make([]byte, len(head))
	n, err := f.Read(begins)
	return errors.Join(err, f.Close()) == nil && string(begins[:n]) == head
}
