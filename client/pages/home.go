package pages

import (
	"net/url"
	"strings"

	"ampwright/model"
)

// homePage is all that home.html can see: the builds of the garage.
type homePage struct {
	*frame
	Builds []buildLine
	Start  form
}

// A buildLine is one build of the garage.
type buildLine struct {
	Href, Title, Sub, Donor string
	Logged, Left            string
	Started                 string
	Err                     string
}

// home lists the builds. Where there is only one it leads there, unless the
// list is asked for with ?all=1.
func (v *visit) home() (Response, error) {
	ids := v.cfg.Book.BuildIDs()
	if len(ids) == 1 && v.req.Query.Get("all") == "" {
		return Response{Status: statusSeeOther, Location: v.cfg.Base + "/b/" + ids[0].String() + "/"}, nil
	}
	p := homePage{frame: v.frame("", "builds")}
	for _, id := range ids {
		b, err := v.cfg.Book.Build(id)
		l := buildLine{Href: v.cfg.Base + "/b/" + id.String() + "/"}
		if err != nil {
			l.Title, l.Err = id.String(), err.Error()
			p.Builds = append(p.Builds, l)
			continue
		}
		v.b = b
		l.Title, l.Sub, _ = strings.Cut(b.Title, ", ")
		l.Donor, l.Logged, l.Started = b.Donor, v.hours(b.Hours.Logged), v.whenDay(b.StartAt)
		l.Left = v.decimals(b.Hours.Forecast.Left, 1) + " h"
		v.b = nil
		p.Builds = append(p.Builds, l)
	}
	k, _ := model.WishKindOf("start")
	p.Start = v.form(k, url.Values{}, nil, nil)
	return v.render(statusOK, "home.html", p)
}
