package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"ampwright/cmd/dev/chromium"
)

// halfCore makes a control group of half a core and a launcher that starts Chromium
// in it, to stand for a phone. DevTools' own brake would slow the page down and not
// the worker in which the program runs. remove ends the group.
func halfCore(dir string) (launcher string, remove func(), err error) {
	browser, err := chromium.Path()
	if err != nil {
		return "", nil, err
	}
	const root = "/sys/fs/cgroup"
	group, files := filepath.Join(root, "cpu", "ampwright-phone"), [][2]string{{"cpu.cfs_period_us", "100000"}, {"cpu.cfs_quota_us", "50000"}}
	if _, err := os.Stat(filepath.Join(root, "cgroup.controllers")); err == nil { // version 2
		group, files = filepath.Join(root, "ampwright-phone"), [][2]string{{"cpu.max", "50000 100000"}}
	}
	if err := os.Mkdir(group, 0o755); err != nil && !errors.Is(err, os.ErrExist) {
		return "", nil, err
	}
	remove = func() {
		for range 50 { // until the last of its processes is gone
			if os.Remove(group) == nil {
				return
			}
			time.Sleep(100 * time.Millisecond)
		}
	}
	for _, f := range files {
		if err := os.WriteFile(filepath.Join(group, f[0]), []byte(f[1]), 0o644); err != nil {
			remove()
			return "", nil, err
		}
	}
	launcher = filepath.Join(dir, "chromium")
	script := fmt.Sprintf("#!/bin/sh\necho $$ > %s/cgroup.procs && exec %s \"$@\"\n", group, browser)
	return launcher, remove, os.WriteFile(launcher, []byte(script), 0o755)
}
