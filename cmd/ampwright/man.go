package main

import (
	"fmt"
	"os"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

// man writes the manual pages, made from the same texts as the help.
func (p *program) man() *cobra.Command {
	return &cobra.Command{
		Use: "man FOLDER", Short: "writes the manual pages into a folder", Example: "  ampwright man ~/.local/share/man/man1", Args: exactly(1, "FOLDER"),
		RunE: func(c *cobra.Command, args []string) error {
			if err := os.MkdirAll(args[0], 0o755); err != nil {
				return err
			}
			if err := writeManual(c.Root(), args[0]); err != nil {
				return fmt.Errorf("write manual pages: %w", err)
			}
			p.talk("wrote the manual pages into %s", args[0])
			return nil
		},
	}
}

func writeManual(root *cobra.Command, dir string) error {
	date := time.Unix(0, 0).UTC() // the same bytes whenever they are made
	return doc.GenManTree(root, &doc.GenManHeader{Title: "AMPWRIGHT", Section: "1", Source: "Ampwright", Manual: "Ampwright", Date: &date}, dir)
}
