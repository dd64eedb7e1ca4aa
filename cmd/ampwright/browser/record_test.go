//go:build browser

package browser

import (
	"net/http"
	"regexp"
	"strings"

	"ampwright/calc/unit"
	"ampwright/model/demo"
	"ampwright/model/plan"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

// page is a page of the laptop's as it is served.
func (p *program) page(path string) *html.Node {
	p.t.Helper()
	resp, err := http.Get(p.home + path)
	require.NoError(p.t, err)
	defer resp.Body.Close()
	require.Equal(p.t, 200, resp.StatusCode, path)
	doc, err := html.Parse(resp.Body)
	require.NoError(p.t, err)
	return doc
}

// A line is what the build record says of a check.
type line struct {
	Limit, Reading, Said, Who string // Said and Who without moments and names of entries
	Points                    string
	Photo                     string // what is seen on it
}

// moments are what differs between two times of the same work.
var moments = regexp.MustCompile(`\d{4}-\d\d-\d\d( \d\d:\d\d)?( UTC)?([+-]\d\d:\d\d)?|\b[0-9a-f]{8}\b`)

// record reads the build record's lines of the list's items off its page.
func (p *program) record() map[string]line {
	p.t.Helper()
	lines := map[string]line{}
	section := ""
	for e := range p.page(bench + "record").Descendants() {
		if e.Data == "section" {
			section = attr(e, "id")
		}
		if e.Data != "tr" || section != "checks" && section != "points" && section != "photos" || attr(e, "class") == "group" {
			continue
		}
		var cells []*html.Node
		for c := range e.ChildNodes() {
			if c.Data == "td" {
				cells = append(cells, c)
			}
		}
		if len(cells) == 0 {
			continue
		}
		id, _, _ := strings.Cut(small(cells[0]), ",")
		id, _, _ = strings.Cut(id, ";")
		l := lines[id]
		switch section {
		case "points":
			l.Points = text(cells[1])
		case "photos":
			for img := range cells[1].Descendants() {
				if img.Data == "img" {
					l.Photo = p.seen(attr(img, "src"))
				}
			}
		default:
			l.Limit, l.Reading = text(cells[1]), bare(cells[2])
			l.Said, l.Who = moments.ReplaceAllString(text(cells[2]), ""), moments.ReplaceAllString(text(cells[3]), "")
		}
		lines[id] = l
	}
	all := map[string]line{}
	for _, it := range items {
		require.Contains(p.t, lines, it.check)
		all[it.check] = lines[it.check]
	}
	return all
}

// small is the small print of a cell, bare the text that stands in it alone.
func small(cell *html.Node) string {
	for e := range cell.ChildNodes() {
		if e.Data == "small" {
			return text(e)
		}
	}
	return ""
}

func bare(cell *html.Node) string {
	var words []string
	for e := range cell.ChildNodes() {
		if e.Type == html.TextNode {
			words = append(words, e.Data)
		}
	}
	return strings.TrimSpace(strings.Join(words, ""))
}

// requireAll requires that the record holds what was typed at each item, by the
// numbers and with their units, and how often it was taken before.
func (p *program) requireAll(lines map[string]line) {
	p.t.Helper()
	b, err := demo.AtEnd(plan.Builtin)
	require.NoError(p.t, err)
	number := func(typed, of string) float64 {
		d, err := unit.Parse(typed, of, unit.Style{}.Mark)
		require.NoError(p.t, err, typed)
		return d.Float()
	}
	for _, it := range items {
		l, of := lines[it.check], b.Check(it.check).Unit
		switch {
		case it.seen != "":
			require.Equal(p.t, it.seen, l.Reading, it.check)
		case it.check == "cfg-backup":
			require.Equal(p.t, []string{"photo in the logbook", pictured}, []string{l.Reading, l.Photo})
		case len(it.values) == 1:
			require.Equal(p.t, number(it.values[0], of), number(l.Reading, of), "%s: %s", it.check, l.Reading)
		case len(it.values) > 1 && it.check != "pressures":
			points := strings.Split(l.Points, ";")
			require.Len(p.t, points, len(it.values), "%s: %s", it.check, l.Points)
			for i, v := range it.values {
				words := strings.Fields(points[i])
				require.Equal(p.t, number(v, of), number(strings.Join(words[len(words)-2:], " "), of), "%s: %s", it.check, l.Points)
			}
		}
	}
	require.Contains(p.t, lines["pressures"].Points, "110 kPa")
	require.Contains(p.t, lines["pressures"].Said, "concession: soft on purpose for the stand; inflated before the road; signed builder and Ina")
	for check, n := range map[string]string{"dead-at-controller": "1 earlier reading", "group-volts": "1 earlier reading", "first-live-ready": "1 earlier reading", "precharge-level": "1 earlier reading", "precharge-time": "1 earlier reading", "cfg-batt-limit": "1 earlier reading", "cfg-backup": "1 earlier reading"} {
		require.Contains(p.t, lines[check].Said, n, check)
	}
	require.Equal(p.t, "20.0 mV", lines["group-spread"].Reading)
	require.Contains(p.t, text(p.page(bench+"check/dead-at-controller")), "61 V")
	require.Contains(p.t, text(p.page(bench+"check/group-volts")), "2.90")
	for _, check := range []string{"cfg-backup", "axle-marks-photo"} {
		require.Contains(p.t, text(p.page(bench+"check/"+check)), "photo taken, kept elsewhere")
	}
	require.Contains(p.t, text(p.page(bench+"findings")), "rework: the second source was the charger's lead, unplugged; closed")
}
