package bring

import (
	"fmt"
	"slices"

	"ampwright/model"
)

// money reads a line of a money sheet: a purchase.
func (r *reader) money(d *draft, date, area string) {
	item, price := r.get(d.row, "item"), r.get(d.row, "price")
	if price == "" {
		d.out("no price stands in it")
		return
	}
	switch kind := plainWord(r.get(d.row, "kind")); kind {
	case "", "purchase", "bought", "buy":
	case "sale", "sold":
		r.sale(d, date, area)
		return
	case "order", "ordered":
		d.out("an order: orders are brought in from a sheet of parts")
		return
	case "refund", "money back":
		r.refund(d, date)
		return
	default:
		d.wrong("kind “%s”: want purchase, sale or refund", kind)
		return
	}
	day, _ := r.day(d, "date", date)
	paid, _ := r.amount(d, "price", price)
	post, hasPost := r.amount(d, "post", r.get(d.row, "post"))
	if item == "" {
		if item = r.get(d.row, "shop"); item == "" {
			d.wrong("what was bought is missing")
		} else {
			d.odd("no item: the shop stands for it")
		}
	}
	if d.State == Wrong {
		return
	}
	r.upcoming(d, "date", day)
	task, note := r.task(d, area, item)
	d.wish = "buy"
	d.set("what", item)
	d.set("amount", r.amountText(paid+post))
	d.set("at", at(day, -1))
	d.set("task", task)
	d.set("vendor", r.get(d.row, "shop"))
	d.set("receipt", r.get(d.row, "receipt"))
	d.set("part", r.partOf(d, item))
	if hasPost {
		note = join(note, fmt.Sprintf("post %s of it", r.amountText(post)))
	}
	if how := r.get(d.row, "how"); how != "" {
		note = join(note, "paid "+how)
	}
	d.set("note", join(note, r.get(d.row, "note")))
	d.says = []string{day, item, r.amountText(paid), r.amountText(post), r.get(d.row, "shop"), r.get(d.row, "receipt"), area}
	d.Says = fmt.Sprintf("bought: %s, %s %s, %s", item, r.amountText(paid+post), r.build.Currency, day)
}

// refund reads a line of money that came back on an order or a purchase.
func (r *reader) refund(d *draft, date string) {
	day, _ := r.day(d, "date", date)
	amount, _ := r.amount(d, "price", r.get(d.row, "price"))
	of := r.get(d.row, "of")
	paid := slices.ContainsFunc(r.build.Money.Lines, func(l *model.MoneyLine) bool { return of != "" && l.ID.String() == of })
	if _, err := r.build.OrderBy(of); (of == "" || err != nil) && !paid {
		d.wrong("of “%s”: want the number of an order that is here, or leave this line out and book it with ampwright refund", of)
	}
	if d.State == Wrong {
		return
	}
	r.upcoming(d, "date", day)
	what := r.get(d.row, "item")
	d.wish = "refund"
	d.set("of", of)
	d.set("amount", r.amountText(amount))
	d.set("what", what)
	d.set("at", at(day, -1))
	d.set("note", r.get(d.row, "note"))
	d.says = []string{day, "refund", what, r.amountText(amount), of}
	d.Says = fmt.Sprintf("came back: %s, %s %s, %s", what, r.amountText(amount), r.build.Currency, day)
}

// sale reads a line of a sheet of sales.
func (r *reader) sale(d *draft, date, area string) {
	item, got := r.get(d.row, "item"), r.get(d.row, "got")
	buyer := r.get(d.row, "buyer")
	if r.kind.name == Money {
		got, buyer = r.get(d.row, "price"), r.get(d.row, "shop")
	}
	if got == "" || got == "-" || got == "–" {
		d.out("not sold yet")
		return
	}
	day, _ := r.day(d, "date", date)
	price, _ := r.amount(d, "got", got)
	fee, _ := r.amount(d, "fee", r.get(d.row, "fee"))
	post, _ := r.amount(d, "post", r.get(d.row, "post"))
	if item == "" {
		d.wrong("what was sold is missing")
	}
	if fee+post > price && d.State != Wrong {
		d.odd("fee and post are more than it brought")
	}
	if d.State == Wrong {
		return
	}
	r.upcoming(d, "date", day)
	task, note := r.task(d, area, item)
	d.wish = "sell"
	d.set("what", item)
	d.set("amount", r.amountText(price))
	if fee > 0 {
		d.set("fee", r.amountText(fee))
	}
	if post > 0 {
		d.set("post", r.amountText(post))
	}
	d.set("at", at(day, -1))
	d.set("task", task)
	d.set("buyer", buyer)
	d.set("note", join(note, r.get(d.row, "note")))
	d.says = []string{day, item, r.amountText(price), r.amountText(fee), r.amountText(post), buyer}
	d.Says = fmt.Sprintf("sold: %s, %s %s, %s", item, r.amountText(price), r.build.Currency, day)
}

// part reads a line of a parts sheet: an order, or what was bought over a counter
// if nobody wrote when it was ordered.
func (r *reader) part(d *draft, area string) {
	item := r.get(d.row, "item")
	ordered, came, promised, price := r.get(d.row, "ordered"), r.get(d.row, "came"), r.get(d.row, "promised"), r.get(d.row, "price")
	switch {
	case item == "":
		d.wrong("what it is is missing")
		return
	case ordered == "" && (came == "" || came == "-"):
		d.out("wanted, not ordered yet")
		return
	case price == "":
		d.wrong("its price is missing")
		return
	}
	amount, _ := r.amount(d, "price", price)
	d.wish = "order"
	if ordered == "" {
		d.wish, ordered = "buy", came
		d.odd("no day of order: booked as bought on the day it came")
	}
	day, _ := r.day(d, "ordered", ordered)
	arrived := ""
	if came != "" && d.wish == "order" {
		if yes(came) {
			d.wrong("came “%s”: want the day it came", came)
		} else if arrived, _ = r.day(d, "came", came); arrived != "" && arrived < day {
			d.wrong("came on %s, before it was ordered on %s", arrived, day)
		}
	}
	due := ""
	if promised != "" && d.wish == "order" {
		due, _ = r.day(d, "promised", promised)
	}
	if d.State == Wrong {
		return
	}
	r.upcoming(d, "ordered", day)
	r.upcoming(d, "came", arrived)
	task, note := r.task(d, area, item)
	d.set("what", item)
	d.set("amount", r.amountText(amount))
	d.set("at", at(day, -1))
	d.set("task", task)
	d.set("vendor", r.get(d.row, "shop"))
	d.set("note", join(note, r.get(d.row, "note"), r.get(d.row, "link")))
	part := r.partOf(d, item)
	d.Says = fmt.Sprintf("bought: %s, %s %s, %s", item, r.amountText(amount), r.build.Currency, day)
	if d.wish == "buy" {
		d.set("part", part)
	} else {
		if parts := r.get(d.row, "parts"); parts != "" {
			part = parts
		}
		d.set("parts", part)
		if yes(r.get(d.row, "unpaid")) {
			d.set("unpaid", "yes")
		}
		d.set("promised", due)
		d.set("label", r.get(d.row, "label"))
		if arrived != "" {
			d.came = at(arrived, -1)
		}
		d.Says = fmt.Sprintf("ordered: %s, %s %s, %s", item, r.amountText(amount), r.build.Currency, day)
		if arrived != "" {
			d.Says += ", came " + arrived
		}
	}
	d.says = []string{day, item, r.amountText(amount), r.get(d.row, "shop"), r.get(d.row, "label")}
}
