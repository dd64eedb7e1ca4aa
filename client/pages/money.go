package pages

// moneyPage is all that money.html can see.
type moneyPage struct {
	*frame
	Left    moneyLeft
	Stages  []stageMoney
	Lines   []moneyLine
	Doubles []doubleLine
	Hours   string // logged on what was sold
	Acts    []quick
}

type stageMoney struct{ Key, Title, Spent, Sold, Net string }

// A moneyLine is one movement, newest first.
type moneyLine struct {
	When, Kind, What, Amount, Net, With, Receipt string
	Task                                         link
	Href                                         string
	Unpaid                                       bool
	Photo                                        *photoPic // of the receipt
}

// A doubleLine is two entries that may be one.
type doubleLine struct {
	One, Two moneyLine
	Strike   string
}

func (v *visit) money() (Response, error) {
	p := moneyPage{frame: v.frame("money", "money"), Left: v.moneyLeft()}
	here := v.at() + "/money"
	m := &v.b.Money
	for _, s := range m.Stages {
		l := stageMoney{Title: "no stage", Spent: v.amount(s.Spent), Sold: v.amount(s.Sold), Net: v.amount(s.Net)}
		if s.Stage != nil {
			l.Key, l.Title = s.Stage.ID, s.Stage.Title
		}
		p.Stages = append(p.Stages, l)
	}
	at := map[string]moneyLine{}
	for i := len(m.Lines) - 1; i >= 0; i-- {
		one := m.Lines[i]
		l := moneyLine{
			When: v.whenDay(one.At), Kind: one.Kind, What: one.What, Amount: v.amount(one.Amount), Net: v.amount(one.Net), With: one.With,
			Receipt: one.Receipt, Href: v.at() + "/entry/" + one.ID.String(), Unpaid: one.Unpaid,
			Photo: v.photoPic(one.Photo, "the receipt of "+one.What),
		}
		if one.Net > 0 {
			l.Net = "+" + l.Net
		}
		if one.Task != nil {
			l.Task = link{Href: v.taskHref(one.Task), Text: one.Task.ID}
		}
		at[one.ID.String()] = l
		p.Lines = append(p.Lines, l)
	}
	for _, d := range m.Doubles {
		two := d[1].ID.String()
		strike := v.asks("strike", "", here, "entry", two, "reason", "booked twice: "+d[0].ID.Short()).Href
		p.Doubles = append(p.Doubles, doubleLine{at[d[0].ID.String()], at[two], strike})
	}
	if m.SaleMinutes > 0 {
		p.Hours = v.hours(m.SaleMinutes)
	}
	p.Acts = []quick{v.asks("buy", "bought something", here), v.asks("order", "ordered something", here), v.asks("sell", "sold something", here), v.asks("refund", "money came back", here)}
	return v.render(statusOK, "money.html", p)
}
