package repo

import (
	"os"
	"strings"
	"sync"
	"time"

	"golang.org/x/sys/unix"
)

// bootID names the system's running since it was started: it is another one after
// the machine was stopped (random(4)).
var bootID = sync.OnceValue(func() string {
	text, err := os.ReadFile("/proc/sys/kernel/random/boot_id")
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(text))
})

// bootTime is when the system was started, zero where that is not known.
func bootTime() time.Time {
	var info unix.Sysinfo_t
	if unix.Sysinfo(&info) != nil {
		return time.Time{}
	}
	// The uptime is rounded up to whole seconds.
	return time.Now().Add(-time.Duration(info.Uptime) * time.Second)
}
