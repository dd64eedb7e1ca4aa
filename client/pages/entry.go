package pages

import (
	"strconv"

	"ampwright/model"
)

// entryPage is all that entry.html can see.
type entryPage struct {
	*frame
	Row      entryRow
	Kind     string
	Replica  string
	Bytes    string
	Previous string
	Photo    *photoPic
	Holders  []string // the other devices known to hold it, and when each said so last
}

func (v *visit) entry() (Response, error) {
	id, err := model.ParseID(v.args[0])
	if err != nil {
		return Response{}, missing("%v", err)
	}
	var line model.Line
	rows := v.entryRows(func() []model.Line {
		lines := v.lineOf(id)
		if len(lines) > 0 {
			line = lines[0]
		}
		return lines
	})
	if len(rows) == 0 {
		return Response{}, missing("there is no entry %s in this build", v.args[0])
	}
	p := entryPage{frame: v.frame("logbook", "entry "+id.Short()), Row: rows[0], Kind: line.Kind(), Replica: line.Replica.String()}
	p.Block[1].Text = "entry " + id.Short()
	hash, of := hashIn(line.Entry)
	p.Photo = v.photoPic(hash, of)
	if line.Seq > 1 {
		p.Previous = line.Prev.String()
	}
	peers := v.counting()
	v.cfg.Book.Read(func(l *model.Logbook) {
		p.Bytes = strconv.Itoa(len(l.Bytes(id)))
		for _, h := range l.Holders(peers).Of(id) {
			p.Holders = append(p.Holders, v.deviceName(h.Replica)+" said so "+v.moment(h.Heard.In(v.now().Location())))
		}
	})
	return v.render(statusOK, "entry.html", p)
}
