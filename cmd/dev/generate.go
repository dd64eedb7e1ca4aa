package main

import (
	"context"

	"ampwright/cmd/dev/templates"
)

// runGenerate makes the pages' templates into Go.
func runGenerate(context.Context, []string) error { return templates.Write(".") }
