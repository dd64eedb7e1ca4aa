package pages

import (
	"fmt"
	"strconv"

	"ampwright/client/words"
	"ampwright/model"
)

// logbookPage is all that logbook.html can see.
type logbookPage struct {
	*frame
	Rows         []entryRow
	Count        string
	Newer, Older string
	Page         string
	Alone        string // how many entries are on this device only
}

const entriesAPage = 50

func (v *visit) logbook() (Response, error) {
	p := logbookPage{frame: v.frame("logbook", "logbook")}
	page, err := strconv.Atoi(v.req.Query.Get("page"))
	if err != nil || page < 1 || page > 1_000_000 {
		page = 1
	}
	total := 0
	p.Rows = v.entryRows(func() []model.Line {
		return v.b.Lines((page-1)*entriesAPage, entriesAPage)
	})
	v.cfg.Book.Read(func(l *model.Logbook) { total = l.Count(v.b.ID) })
	pages := (total + entriesAPage - 1) / entriesAPage
	p.Alone = words.Alone(v.alone())
	p.Count = count(total, "entry", "entries")
	p.Page = fmt.Sprintf("page %d of %d", page, max(pages, 1))
	p.Block[1].Text = "logbook " + fmt.Sprintf("%d/%d", page, max(pages, 1))
	if page > 1 {
		p.Newer = fmt.Sprintf("%s/logbook?page=%d", v.at(), page-1)
	}
	if page < pages {
		p.Older = fmt.Sprintf("%s/logbook?page=%d", v.at(), page+1)
	}
	return v.render(statusOK, "logbook.html", p)
}
