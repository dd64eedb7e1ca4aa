package pages

import (
	"errors"
	"fmt"
	"strings"

	"ampwright/client/record"
	"ampwright/model"
)

// recordVerifyPage is all that record_verify.html can see.
type recordVerifyPage struct {
	*frame
	Record      string // the way back
	Once, Given string
	File        bool // the server takes the PDF itself
	Wrong       string
	Report      *record.Report
	Verdict     stamp
	Of          string // which record, for whom, of when
	Since       []link
}

func (v *visit) askVerify() (Response, error) {
	return v.render(statusOK, "record_verify.html", v.verifyPage())
}

func (v *visit) verifyPage() recordVerifyPage {
	return recordVerifyPage{frame: v.frame("record", "hold a record against the logbook"), Record: v.at() + "/record", Once: v.cfg.Once(), File: v.cfg.PDF}
}

// doVerify holds what was pasted, or handed over as a file, against the logbook.
// Of a file the server gives the record in it as if it had been pasted, or what is
// wrong with it as "unread". Nothing is written down.
func (v *visit) doVerify() (Response, error) {
	p := v.verifyPage()
	p.Given = strings.TrimSpace(v.req.Form.Get("record"))
	if err := v.holdAgainst(&p); err != nil {
		p.Wrong = err.Error()
		return v.render(statusUnprocessable, "record_verify.html", p)
	}
	p.Verdict = stamp{"AGREES", "within"}
	if !p.Report.Agrees {
		p.Verdict = stamp{"DOES NOT AGREE", "out"}
	}
	for _, s := range p.Report.Since {
		p.Since = append(p.Since, link{Href: v.at() + "/entry/" + s.Entry, Text: s.Text})
	}
	return v.render(statusOK, "record_verify.html", p)
}

// holdAgainst reads a record's data, or the texts of its codes, and verifies it.
func (v *visit) holdAgainst(p *recordVerifyPage) error {
	if wrong := v.req.Form.Get("unread"); wrong != "" {
		return errors.New(wrong)
	}
	if strings.HasPrefix(p.Given, "{") {
		r, err := record.Read(strings.NewReader(p.Given))
		if err != nil {
			return err
		}
		if r.Build != v.b.ID {
			return fmt.Errorf("the record is of build %s, this is %s", r.Build, v.b.ID)
		}
		p.Of = r.Block.Number + ", " + r.Block.Type + ", " + r.At.Format("2006-01-02 15:04 -07:00")
		p.Given = ""
		v.cfg.Book.Read(func(l *model.Logbook) { p.Report = record.Verify(r, l, v.planOf) })
		return nil
	}
	var all *record.Code
	for _, text := range strings.Split(p.Given, "\n") {
		if strings.TrimSpace(text) == "" {
			continue
		}
		c, err := record.ParseCode(text)
		switch {
		case err != nil:
			return err
		case c.Build != v.b.ID:
			return fmt.Errorf("the code is of build %s, this is %s", c.Build, v.b.ID)
		case all == nil:
			all = c
		case all.Digest != c.Digest:
			return fmt.Errorf("code %d is of another record than the first", c.Part)
		default:
			all.Heads = append(all.Heads, c.Heads...)
		}
	}
	if all == nil {
		return fmt.Errorf("nothing was given: want a record's data, which begins with {, or the text of its codes, one a line")
	}
	p.Of = "AR-" + all.Build.String()[:8] + "-" + record.Short(all.Digest) + ", " + all.Day
	v.cfg.Book.Read(func(l *model.Logbook) { p.Report = record.VerifyCode(all, l) })
	return nil
}
