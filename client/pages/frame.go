package pages

import (
	"fmt"
	"strings"

	"ampwright/model"
)

// A frame is what all pages share: the drawing sheet with its head, the title
// block along its foot, and what was just written down.
type frame struct {
	Title        string // of the window
	Heading, Sub string // the build's name, and the rest of its title
	CSS, Icon    string
	Awake        string // the script that keeps the screen on; "" where the page around has it already
	Theme, Paper string
	Home, At     string // paths of the garage and the build
	Nav          []link
	Bar          []link // the four in reach of a thumb
	Done         *flash
	Block        []cell
	Notes        []string // what must be known before anything on the page is believed
	HasActs      bool     // the page's own buttons stand where the bar would be
	Lists        []datalist
	Version      string
	Device       string // path of the page about this device
}

// Sheet is the frame itself: what the layout hands to its head and foot.
func (f *frame) Sheet() *frame { return f }

// A link is a way to another page.
type link struct {
	Href, Text string
	Here       bool
}

// A cell is one field of the title block.
type cell struct{ Name, Text string }

// sheets are the pages of a build in the order of the drawing set.
var sheets = []struct{ path, name string }{
	{"", "bench"}, {"tasks", "job cards"}, {"checks", "checks"}, {"spec", "spec sheet"}, {"parts", "parts"},
	{"money", "money"}, {"forecast", "forecast"}, {"findings", "findings"}, {"logbook", "logbook"}, {"record", "record"}, {"settings", "settings"},
}

// frame starts a page. sheet is the name of the drawing it belongs to.
func (v *visit) frame(sheet, title string) *frame {
	f := &frame{
		Title: title + " - Ampwright", Heading: "Ampwright", CSS: v.cfg.Asset("look.css"), Icon: v.cfg.Asset("icon.svg"), Awake: v.cfg.Asset("awake.js"),
		Theme: v.set.Theme, Paper: strings.ToLower(v.set.Paper), Home: v.cfg.Base + "/", At: v.at(), Version: v.cfg.Version,
		Device: v.cfg.Device,
	}
	if v.cfg.Notes != nil {
		f.Notes = v.cfg.Notes()
	}
	if v.b == nil {
		return f
	}
	f.Heading, f.Sub, _ = strings.Cut(v.b.Title, ", ")
	f.Title = title + " - " + f.Heading
	for _, s := range sheets {
		l := link{f.At + "/" + s.path, s.name, s.name == sheet}
		f.Nav = append(f.Nav, l)
		if len(f.Bar) < 3 {
			f.Bar = append(f.Bar, l)
		}
	}
	f.Bar = append(f.Bar, link{Href: "#sheets", Text: "all sheets"})
	f.Done = v.flash()
	f.Block = v.titleBlock(sheet)
	if v.b.PlanNote != "" {
		f.Notes = append(f.Notes, v.b.PlanNote)
	}
	if n := v.b.Newer; n > 0 {
		f.Notes = append(f.Notes, count(n, "entry is", "entries are")+" from a newer version of the program and left out here: update before signing anything off")
	}
	return f
}

func (v *visit) titleBlock(sheet string) []cell {
	entries := 0
	for _, d := range v.b.Devices {
		entries += d.Entries
	}
	open := 0
	for _, f := range v.b.Findings {
		if f.Open {
			open++
		}
	}
	return []cell{
		{"build", firstWord(v.b)}, {"sheet", sheet}, {"logged", v.hours(v.b.Hours.Logged)},
		{"findings", fmt.Sprintf("%d open", open)}, {"in this book", count(entries, "entry", "entries")},
		v.aloneCell(), {"last contact", v.lastContact()},
	}
}

func firstWord(b *model.Build) string {
	name, _, _ := strings.Cut(b.Title, ", ")
	return name
}
