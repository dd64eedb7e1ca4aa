package main

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
)

// placeKey names the environment variable that says where the garage is.
const placeKey = "AMPWRIGHT_GARAGE"

// usualPlace returns the garage folder where none is named: what the
// environment says, else a folder of this user's own: $XDG_DATA_HOME/ampwright
// or ~/.local/share/ampwright, ~/Library/Application Support/ampwright on macOS,
// %LocalAppData%\ampwright on Windows.
func usualPlace() (string, error) {
	if dir := os.Getenv(placeKey); dir != "" {
		return dir, nil
	}
	parent := ""
	switch runtime.GOOS {
	case "windows":
		parent = os.Getenv("LocalAppData")
	case "darwin", "ios":
		parent = under("Library", "Application Support")
	default:
		// XDG Base Directory Specification: a path that is not absolute is ignored.
		if parent = os.Getenv("XDG_DATA_HOME"); !filepath.IsAbs(parent) {
			parent = under(".local", "share")
		}
	}
	if parent == "" {
		return "", errors.New("no folder of this user's own is known: name one with --garage or in " + placeKey)
	}
	return filepath.Join(parent, "ampwright"), nil
}

// under returns a folder below the user's home, "" if that is not known.
func under(names ...string) string {
	home, err := os.UserHomeDir()
	if err != nil {
		return ""
	}
	return filepath.Join(append([]string{home}, names...)...)
}
