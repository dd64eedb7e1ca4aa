package pages

import (
	"fmt"

	"ampwright/client/markup"
)

// The templates are made into Go: writers in templates_gen.go.
//
//go:generate go run ../../cmd/dev generate

// framed is a page struct: all embed a frame.
type framed interface{ Sheet() *frame }

// render makes a page in memory, so that half a page is never sent.
func (v *visit) render(status int, file string, page framed) (Response, error) {
	write := v.pages[file]
	if write == nil {
		return Response{}, fmt.Errorf("no template %s", file)
	}
	page.Sheet().Lists = v.lists
	var out markup.Out
	if err := fill(&out, write, page); err != nil {
		return Response{}, fmt.Errorf("make %s: %w", file, err)
	}
	return Response{Status: status, Type: "text/html; charset=utf-8", Body: out.Bytes()}, nil
}

// fill writes a page. What is missing in it is an error: the person is told on
// a page, not with a broken connection.
func fill(out *markup.Out, write func(*markup.Out, any), page framed) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%v", r)
		}
	}()
	write(out, page)
	return nil
}

// more is how many of a list are left when n are shown.
func more(list []link, n int) int { return len(list) - n }
