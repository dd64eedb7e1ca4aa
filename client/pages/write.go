package pages

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"net/url"
	"slices"
	"strings"

	"ampwright/client/words"
	"ampwright/model"
	"ampwright/sync/book"

	"github.com/google/uuid"
)

// writePage is all that write.html can see: one form, and what the thing it is
// about must say before anything is typed.
type writePage struct {
	*frame
	Form  form
	Check *checkFacts
	Task  *taskFacts
	Entry *entryRow // the entry it strikes out or takes the place of
	Back  string
}

// askWish shows the form of a wish, filled in from the query; a reading never is.
func (v *visit) askWish() (Response, error) {
	k, err := v.wishKind()
	if err != nil {
		return Response{}, err
	}
	values := url.Values{}
	for name, vs := range v.req.Query {
		if name != "once" && !measured(k, name) {
			values[name] = vs
		}
	}
	v.fillIn(k, values)
	return v.writePage(statusOK, k, values, nil)
}

// measured reports whether a field takes what an instrument says.
func measured(k *model.WishKind, name string) bool {
	return slices.ContainsFunc(k.Fields, func(f model.WishField) bool {
		return f.Name == name && f.Type == model.ValuesField
	})
}

// fillIn shows what holds now where a form changes a choice.
func (v *visit) fillIn(k *model.WishKind, values url.Values) {
	if k.Name != "settings" {
		return
	}
	now := map[string]string{"mark": "point", "units": "metric", "paper": v.set.Paper, "theme": v.set.Theme, "currency": v.set.Currency}
	if v.set.Comma {
		now["mark"] = "comma"
	}
	if v.set.US {
		now["units"] = "us"
	}
	for name, value := range now {
		if values.Get(name) == "" && value != "" {
			values.Set(name, value)
		}
	}
}

func (v *visit) wishKind() (*model.WishKind, error) {
	k, ok := model.WishKindOf(v.args[0])
	if !ok {
		return nil, missing("%q is nothing that can be written down here", v.args[0])
	}
	if k.Name == model.AddPlanWish || k.Name == model.MovePlanWish { // their own pages show first what they do
		return nil, missing("%s is not written down on this page", k.Title)
	}
	if v.b == nil && !k.Garage || v.b != nil && k.Name == "start" {
		return nil, missing("%s is not written down on this page", k.Title)
	}
	return k, nil
}

// doWish writes a wish down. What is wrong with it is said on the form again,
// beside what was typed.
func (v *visit) doWish() (Response, error) {
	k, err := v.wishKind()
	if err != nil {
		return Response{}, err
	}
	form := asMeant(v.req.Form)
	if errs := v.photoFault(k); errs != nil {
		return v.writePage(statusUnprocessable, k, form, errs)
	}
	out, errs, err := v.write(k, form)
	if err != nil {
		return Response{}, err
	}
	if errs != nil {
		return v.writePage(statusUnprocessable, k, form, errs)
	}
	back := v.back(form.Get("back"))
	if k.Name == "start" {
		back = v.cfg.Base + "/b/" + out.Build.String() + "/"
	}
	return Response{Status: statusSeeOther, Location: withDone(back, out)}, nil
}

// write does the wish that a form makes; errs is what is wrong with its values.
func (v *visit) write(k *model.WishKind, form url.Values) (out book.Outcome, errs []*model.FieldError, err error) {
	w := model.Wish{Name: k.Name, Values: map[string][]string{}}
	for name, vs := range form {
		if name != "back" {
			w.Values[name] = vs
		}
	}
	if once := form.Get("once"); once != "" {
		w.Values["once"] = []string{once + " " + digest(form)}
	}
	build := uuid.Nil
	if v.b != nil {
		build = v.b.ID
	}
	out, err = v.cfg.Book.Do(build, w, "")
	var wrong *model.WishError
	if errors.As(err, &wrong) {
		return out, wrong.Fields, nil
	}
	return out, nil, err
}

// digest tells a form sent twice from one that was gone back to and changed:
// the first is written once, the second is another entry.
func digest(form url.Values) string {
	sum := sha256.Sum256([]byte(form.Encode()))
	return hex.EncodeToString(sum[:8])
}

// back is where a form leads to: a path of this site, else the bench.
func (v *visit) back(to string) string {
	u, err := url.Parse(to)
	if err != nil || u.Scheme != "" || u.Host != "" || u.User != nil || u.Opaque != "" ||
		!strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || strings.ContainsAny(to, "\\\r\n\t") {
		return v.at() + "/"
	}
	return to
}

// settled are the fields that need no asking: what the form is about is known
// and stands above it.
func (v *visit) settled(k *model.WishKind, values url.Values) []string {
	var names []string
	for _, f := range k.Fields {
		known := f.Type == model.CheckField && v.checkNamed(values.Get(f.Name)) != nil ||
			f.Type == model.TaskField && v.b != nil && v.b.Task(strings.ToLower(values.Get(f.Name))) != nil
		if known && (f.Name == "check" || f.Name == "task") && (f.Required || f.Arg || k.Name == "photo") {
			names = append(names, f.Name)
		}
		if f.Name == "entry" && v.entryNamed(values.Get(f.Name)) != nil {
			names = append(names, f.Name)
		}
	}
	return names
}

func (v *visit) writePage(status int, k *model.WishKind, values url.Values, errs []*model.FieldError) (Response, error) {
	p := writePage{frame: v.frame(words.Lower(k.Title), words.Lower(k.Title))}
	p.Form = v.form(k, values, v.settled(k, values), errs)
	if k.Name == "photo" {
		v.oneThing(&p.Form, values)
	}
	p.Back = v.back(values.Get("back"))
	if c := v.checkNamed(values.Get("check")); c != nil {
		facts := v.checkFacts(c)
		p.Check = &facts
	}
	if v.b != nil {
		if t := v.b.Task(strings.ToLower(values.Get("task"))); t != nil {
			facts := v.taskFacts(t)
			p.Task = &facts
		}
	}
	if p.Entry = v.entryNamed(values.Get("entry")); p.Entry == nil {
		p.Entry = v.entryNamed(values.Get("instead"))
	}
	return v.render(status, "write.html", p)
}

// entryNamed returns the entry of this build that a form names, or nil.
func (v *visit) entryNamed(name string) *entryRow {
	id, err := model.ParseID(name)
	if err != nil || v.b == nil {
		return nil
	}
	rows := v.entryRows(func() []model.Line { return v.lineOf(id) })
	if len(rows) == 0 {
		return nil
	}
	return &rows[0]
}
