package pages

import (
	"fmt"

	"ampwright/client/words"
	"ampwright/model"
)

// partsPage is all that parts.html can see.
type partsPage struct {
	*frame
	PDF           string // the shopping list to be filled in by hand
	Currency      string
	Show          []link
	Orders        []orderLine
	Parts         []partLine
	ToBuy         string
	Low, High     string
	OrderIt, Add  quick
	None          string
	OnlyStillWant bool
}

// A partLine is a line of the bill of materials.
type partLine struct {
	ID, Title, Qty, Price, Lead string
	Stamp                       stamp
	Order                       string
	Used                        bool
	Task                        link
	First                       []link // hold checks to be passed before it is ordered
	Write, Buy                  string
}

// An orderLine is an order and what became of it.
type orderLine struct {
	Label, What, Amount, From, Ordered, Promised string
	Moved                                        string // the first promise, where another stands
	Came                                         string
	Late                                         string
	Stamp                                        stamp
	Parts                                        string
	Blocks                                       []link
	Early                                        []link
	Paid                                         bool
	Href                                         string
	Acts                                         []quick
}

func (v *visit) parts() (Response, error) {
	p := partsPage{frame: v.frame("parts", "parts and orders"), Currency: v.b.Currency, PDF: v.paperPDF("shopping")}
	here := v.at() + "/parts"
	show := v.req.Query.Get("show")
	for _, s := range []struct{ name, text string }{{"", "all"}, {"wanted", "still to buy"}, {"ordered", "ordered"}, {"here", "here or fitted"}} {
		href := here
		if s.name != "" {
			href += "?show=" + s.name
		}
		p.Show = append(p.Show, link{href, s.text, s.name == show})
	}
	for i := len(v.b.Orders) - 1; i >= 0; i-- {
		p.Orders = append(p.Orders, v.orderLine(v.b.Orders[i], here))
	}
	for _, part := range v.b.Parts {
		if part.State == model.PartWanted && part.Task.Open() || show != "wanted" {
			if show == "ordered" && part.State != model.PartOrdered || show == "here" && part.State != model.PartHere && part.State != model.PartFitted {
				continue
			}
			p.Parts = append(p.Parts, v.partLine(part))
		}
	}
	m := &v.b.Money
	p.ToBuy, p.Low, p.High = count(len(m.ToBuy), "part", "parts"), v.amount(m.ToBuyLow), v.amount(m.ToBuyHigh)
	p.OrderIt, p.Add = v.asks("order", "book an order", here), v.asks("add-part", "add a part", here)
	return v.render(statusOK, "parts.html", p)
}

func (v *visit) partLine(part *model.Part) partLine {
	l := partLine{
		ID: part.ID, Title: part.Title, Stamp: partStamp(part.State), Used: part.UsedOK, Task: link{Href: v.taskHref(part.Task), Text: part.Task.ID},
		Qty: fmt.Sprintf("%d %s", part.Qty, part.Unit), Price: v.amount(part.Low()) + " to " + v.amount(part.High()),
		Write: v.asks("part", "", v.at()+"/parts", "part", part.ID).Href,
		Buy:   v.asks("buy", "", v.at()+"/parts", "part", part.ID, "what", words.Lower(part.Title), "task", part.Task.ID).Href,
	}
	if part.Low() == part.High() {
		l.Price = v.amount(part.Low())
	}
	if part.LeadHigh > 0 {
		l.Lead = fmt.Sprintf("%d to %d days", part.LeadLow, part.LeadHigh)
	}
	if part.LeadHigh > 0 && part.LeadLow == part.LeadHigh {
		l.Lead = count(part.LeadLow, "day", "days")
	}
	if o := part.Order; o != nil {
		l.Order = o.Label
	}
	for _, key := range part.OrderAfter {
		if c := v.b.Check(key); c != nil && !c.Cleared() && part.State == model.PartWanted {
			l.First = append(l.First, link{Href: v.checkHref(c), Text: c.ID})
		}
	}
	return l
}

func (v *visit) orderLine(o *model.OrderLine, here string) orderLine {
	l := orderLine{
		Label: o.Label, What: o.What, Amount: v.wording().Money(o.Cents), From: o.Vendor, Ordered: v.whenDay(o.At), Promised: v.date(o.PromiseAt),
		Paid: o.Paid, Href: v.at() + "/entry/" + o.ID.String(), Stamp: stamp{"ORDERED", "hand"},
	}
	if o.PromiseAt != o.Order.Promised {
		l.Moved = v.date(o.Order.Promised)
	}
	switch {
	case o.Arrived != nil:
		l.Stamp, l.Came = stamp{"CAME", "within"}, v.whenDay(*o.Arrived)
		if o.DaysLate > 0 && o.PromiseAt != "" {
			l.Late = count(o.DaysLate, "day late", "days late")
		}
	case o.Late():
		l.Stamp, l.Late = stamp{"LATE", "out"}, count(o.DaysLate, "day late", "days late")
	}
	var parts []string
	for _, id := range o.Parts {
		if p := v.b.Part(id); p != nil {
			parts = append(parts, words.Lower(p.Title))
		}
	}
	l.Parts = some(parts, 4)
	for _, t := range o.Blocks {
		l.Blocks = append(l.Blocks, link{Href: v.taskHref(t), Text: t.ID})
	}
	for _, c := range o.Early {
		l.Early = append(l.Early, link{Href: v.checkHref(c), Text: c.ID})
	}
	if o.Arrived == nil {
		l.Acts = append(l.Acts, v.asks("arrive", "it came", here, "order", o.Label), v.asks("promise", "a new date", here, "order", o.Label))
	}
	if !o.Paid {
		l.Acts = append(l.Acts, v.asks("pay", "it is paid", here, "order", o.Label))
	}
	return l
}
