package main

import (
	"cmp"
	"fmt"
	"runtime"
	"runtime/debug"

	"github.com/spf13/cobra"
)

// version says what this program was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "ampwright, unknown version"
	}
	version, revision, changed := info.Main.Version, "", ""
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			revision = s.Value[:min(12, len(s.Value))]
		case s.Key == "vcs.modified" && s.Value == "true":
			changed = " with changes"
		}
	}
	if version == "(devel)" {
		version = ""
	}
	return fmt.Sprintf("ampwright %s%s, %s %s/%s", cmp.Or(version, revision, "development"), changed, runtime.Version(), runtime.GOOS, runtime.GOARCH)
}

func (p *program) version() *cobra.Command {
	return &cobra.Command{
		Use: "version", Short: "what this program was built from", Example: "  ampwright version\n  ampwright --version", Args: atMost(0),
		RunE: func(*cobra.Command, []string) error {
			body := struct {
				Schema  string `json:"schema"`
				Version string `json:"version"`
			}{"ampwright/version/1", version()}
			return p.answer(body, func(pg *page) { pg.line("%s", body.Version) })
		},
	}
}
