package repo

import "testing"

func BenchmarkResolve(b *testing.B) {
	r := withVersions(b, 30)
	for b.Loop() {
		if _, err := r.Resolve("5"); err != nil {
			b.Fatal(err)
		}
	}
}
