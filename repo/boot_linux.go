package repo

import (
	"os"
	"strings"
	"sync"
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
