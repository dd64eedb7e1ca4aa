package pair

import (
	"fmt"
	"html/template"
	"strings"

	"github.com/skip2/go-qrcode"
)

// picture returns a QR code (ISO/IEC 18004) of a text as SVG, with its quiet zone
// of four modules, black on white in any theme.
func picture(text, title string) (template.HTML, error) {
	q, err := qrcode.New(text, qrcode.Medium)
	if err != nil {
		return "", fmt.Errorf("draw the code: %w", err) // never the text: it may be a secret
	}
	rows := q.Bitmap()
	var path strings.Builder
	for y, row := range rows {
		for x, black := range row {
			if black {
				fmt.Fprintf(&path, "M%d %dh1v1h-1z", x, y)
			}
		}
	}
	n := len(rows)
	return template.HTML(fmt.Sprintf(`<svg class="code" role="img" aria-label="%s" width="%d" height="%d" viewBox="0 0 %d %d" shape-rendering="crispEdges"><path fill="#fff" d="M0 0h%dv%dH0z"/><path fill="#000" d="%s"/></svg>`,
		template.HTMLEscapeString(title), 6*n, 6*n, n, n, n, n, path.String())), nil
}
