package record_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"ampwright/client/record"
	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/plan"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func raws(t testing.TB, l *model.Logbook) [][]byte {
	t.Helper()
	var list [][]byte
	require.NoError(t, l.All(func(raw []byte) error { list = append(list, slices.Clone(raw)); return nil }))
	return list
}

// reading returns the name and the bytes of the reading of a check that stands.
func reading(t testing.TB, l *model.Logbook, check string) (model.ID, []byte) {
	t.Helper()
	b, err := l.Build(demo.Build, demo.End, plan.Builtin)
	require.NoError(t, err)
	id := b.Check(check).Current.ID
	return id, l.Bytes(id)
}

func TestVerify(t *testing.T) {
	whole := heron(t)
	iso, isoRaw := reading(t, whole, "motor-iso")
	for _, tt := range []struct {
		name  string
		cfg   record.Config
		later func(t *testing.T, l *model.Logbook) *model.Logbook // what happened to the logbook since
		forge func(r *record.Record)                              // or to the record
		kinds []string                                            // of trouble; none when it agrees
		names string                                              // an entry that must be named
		since int
	}{
		{name: "as it was"},
		{name: "as it was, all told", cfg: record.Config{For: record.Owner, Hours: true, Money: true}},
		{name: "a new reading since", since: 1, later: func(t *testing.T, l *model.Logbook) *model.Logbook {
			write(t, l, model.Draft{Build: demo.Build, Body: &model.Reading{At: model.WhenOf(demo.End), Check: "motor-iso", Values: []int64{9}, Exp: 6, Unit: "ohm"}})
			return l
		}},
		{name: "another device since", since: 2, later: func(t *testing.T, l *model.Logbook) *model.Logbook {
			writeAs(t, l, uuid.Max, model.Draft{Body: &model.Replica{Device: "tablet", Person: "friend"}},
				model.Draft{Build: demo.Build, Body: &model.Note{At: model.WhenOf(demo.End), Text: "looked"}})
			return l
		}},
		{name: "struck out since", kinds: []string{"struck out"}, names: iso.String(), since: 1, later: func(t *testing.T, l *model.Logbook) *model.Logbook {
			write(t, l, model.Draft{Build: demo.Build, Over: []model.ID{iso}, Body: &model.Strike{At: model.WhenOf(demo.End), Reason: "wrong range"}})
			return l
		}},
		{name: "replaced since", kinds: []string{"replaced"}, names: iso.String(), since: 1, later: func(t *testing.T, l *model.Logbook) *model.Logbook {
			write(t, l, model.Draft{Build: demo.Build, Over: []model.ID{iso}, Body: &model.Reading{At: model.WhenOf(demo.End), Check: "motor-iso", Values: []int64{9}, Exp: 6, Unit: "ohm"}})
			return l
		}},
		{name: "struck out and taken back since", since: 2, later: func(t *testing.T, l *model.Logbook) *model.Logbook {
			strike := write(t, l, model.Draft{Build: demo.Build, Over: []model.ID{iso}, Body: &model.Strike{At: model.WhenOf(demo.End), Reason: "wrong range"}})
			write(t, l, model.Draft{Build: demo.Build, Over: strike, Body: &model.Strike{At: model.WhenOf(demo.End), Reason: "it was right"}})
			return l
		}},
		{name: "an entry removed", kinds: []string{"missing"}, names: iso.String(), later: func(t *testing.T, l *model.Logbook) *model.Logbook {
			return logbook(t, slices.DeleteFunc(raws(t, l), func(raw []byte) bool { return model.IDOf(raw) == iso }))
		}},
		{name: "one byte changed", kinds: []string{"changed"}, names: iso.String(), later: func(t *testing.T, l *model.Logbook) *model.Logbook {
			list := raws(t, l)
			for i, raw := range list {
				if model.IDOf(raw) == iso {
					at := strings.Index(string(raw), "tester")
					list[i][at] ^= 1
				}
			}
			return logbook(t, list)
		}},
		{name: "the phone's entries not here", kinds: []string{"missing"}, later: func(t *testing.T, l *model.Logbook) *model.Logbook {
			return logbook(t, slices.DeleteFunc(raws(t, l), func(raw []byte) bool {
				e, err := model.Decode(raw)
				return err == nil && e.Replica == uuid.MustParse("4845524f-4e00-4000-8000-00000000000b")
			}))
		}},
		{name: "an empty logbook", kinds: []string{"missing"}, later: func(t *testing.T, l *model.Logbook) *model.Logbook { return model.NewLogbook() }},
		{name: "a figure of the record changed", kinds: []string{"record", "figure"}, forge: func(r *record.Record) {
			r.Sections[1].Facts[0].Value = "another machine"
		}},
		{name: "a figure changed and the digest made to fit", kinds: []string{"figure"}, forge: func(r *record.Record) {
			row := slices.IndexFunc(section(r, "checks").Table.Rows, func(row record.Row) bool {
				return len(row.Cells) > 0 && strings.HasPrefix(row.Cells[0].Small, "motor-iso,")
			})
			section(r, "checks").Table.Rows[row].Cells[2].Text = "82 Mohm"
			fit(r)
		}},
		{name: "an entry left out and the digest made to fit", kinds: []string{"figure"}, forge: func(r *record.Record) {
			r.Entries = r.Entries[1:]
			fit(r)
		}},
		{name: "another number", kinds: []string{"record"}, forge: func(r *record.Record) { r.Block.Number = "AR-1" }},
		{name: "a head that never was", kinds: []string{"record", "changed"}, forge: func(r *record.Record) { r.Heads[0].ID = strings.Repeat("0f", 16) }},
		{name: "names that are none", kinds: []string{"record"}, forge: func(r *record.Record) { r.Heads[0].ID, r.Entries[0].ID = "x", "y" }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := made(t, whole, demo.Build, tt.cfg)
			if tt.forge != nil {
				tt.forge(r)
			}
			l := heron(t)
			if tt.later != nil {
				l = tt.later(t, l)
			}
			rep := record.Verify(r, l, plan.Builtin)
			var kinds, names []string
			for _, x := range rep.Troubles {
				require.NotEmpty(t, x.Text)
				names = append(names, x.Entry)
				if !slices.Contains(kinds, x.Kind) {
					kinds = append(kinds, x.Kind)
				}
			}
			for _, kind := range tt.kinds {
				require.Contains(t, kinds, kind, rep.Troubles)
			}
			require.Equal(t, len(tt.kinds) == 0, rep.Agrees, rep.Troubles)
			if tt.names != "" {
				require.Contains(t, names, tt.names)
				require.Equal(t, tt.names, names[0], "the first that is named is the one")
			}
			if tt.since > 0 {
				require.Len(t, rep.Since, tt.since)
			}
			if rep.Agrees {
				require.True(t, rep.Compared)
				require.Equal(t, 253, rep.Chained)
			}
		})
	}
	require.Equal(t, isoRaw, whole.Bytes(iso), "the logbook was left alone")
}

// fit makes the digest and the number of a forged record fit its content.
func fit(r *record.Record) {
	r.Digest = r.Sum()
	r.Block.Number = "AR-" + r.Build.String()[:8] + "-" + r.Digest[:8]
}

// Whichever bit of whichever entry is flipped, verify names that entry.
func TestAnyBit(t *testing.T) {
	l := heron(t)
	r := made(t, l, demo.Build, record.Config{})
	all := raws(t, l)
	rapid.Check(t, func(t *rapid.T) {
		i := rapid.IntRange(0, len(all)-1).Draw(t, "entry")
		bit := rapid.IntRange(0, len(all[i])*8-1).Draw(t, "bit")
		then := model.NewLogbook()
		for j, raw := range all {
			if j == i {
				raw = slices.Clone(raw)
				raw[bit/8] ^= 1 << (bit % 8)
			}
			if _, err := then.Add(raw); err != nil && j != i { // what is no entry any more is not added
				t.Fatal(err)
			}
		}
		rep := record.Verify(r, then, plan.Builtin)
		if rep.Agrees {
			t.Fatalf("bit %d of entry %d: not noticed", bit, i)
		}
		want := model.IDOf(all[i]).String()
		if !slices.ContainsFunc(rep.Troubles, func(x record.Trouble) bool { return x.Entry == want }) {
			t.Fatalf("bit %d of entry %s: not named in %v", bit, want, rep.Troubles)
		}
	})
}

// A record of another edition has other words: its entries are looked at, its
// figures are not.
func TestOtherEdition(t *testing.T) {
	l := heron(t)
	r := made(t, l, demo.Build, record.Config{})
	r.Edition++
	fit(r)
	rep := record.Verify(r, l, plan.Builtin)
	require.True(t, rep.Agrees)
	require.False(t, rep.Compared)
}

// The codes say what the record's heads say, in the signs of the alphanumeric
// mode (ISO/IEC 18004, table 5, from memory), and stay small enough to read.
func TestCodes(t *testing.T) {
	l := heron(t)
	r := made(t, l, demo.Build, record.Config{})
	for n := range 9 { // more devices than one code holds
		r := *r
		for i := range n {
			r.Heads = append(r.Heads[:len(r.Heads):len(r.Heads)], record.Head{Replica: uuid.UUID{byte(i + 1)}, Seq: 4294967295, ID: strings.Repeat("ab", 16)})
		}
		var heads []record.Head
		codes := r.Codes()
		for i, text := range codes {
			require.LessOrEqual(t, len(text), 400)
			require.Empty(t, strings.Trim(text, "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"))
			c, err := record.ParseCode(text)
			require.NoError(t, err)
			require.Equal(t, []any{i + 1, len(codes), r.Build, "2026-11-20", r.Digest}, []any{c.Part, c.Parts, c.Build, c.Day, c.Digest})
			heads = append(heads, c.Heads...)
			dark, err := record.Modules(text)
			require.NoError(t, err)
			require.LessOrEqual(t, len(dark), 65+8, "version 12 with its quiet zone")
			// The finder pattern in the corner: seven dark modules after four light ones.
			for x := range 4 {
				require.False(t, dark[4][x])
			}
			for x := 4; x < 11; x++ {
				require.True(t, dark[4][x])
				require.True(t, dark[x][4])
			}
		}
		require.Len(t, heads, 2+n)
		for i, h := range heads {
			require.Equal(t, []any{r.Heads[i].Replica, r.Heads[i].Seq, r.Heads[i].ID}, []any{h.Replica, h.Seq, h.ID})
		}
	}

	c, err := record.ParseCode(strings.ToLower(r.Codes()[0]))
	require.NoError(t, err)
	rep := record.VerifyCode(c, l)
	require.True(t, rep.Agrees)
	require.Equal(t, 253, rep.Chained)
	require.False(t, record.VerifyCode(c, model.NewLogbook()).Agrees)
}

func TestParseCodeWrong(t *testing.T) {
	good := made(t, heron(t), demo.Build, record.Config{}).Codes()[0]
	for _, tt := range []struct{ old, new, want string }{
		{"AMPWRIGHT-RECORD/1", "OTHER/1", "want one that begins with AMPWRIGHT-RECORD/1"},
		{" 1/1 ", " 2/1 ", `part "2/1"`},
		{"4845524F-4E00", "4845524F", "build"},
		{"2026-11-20", "2026-13-20", `day "2026-13-20"`},
		{":136:", ":0:", `number "0"`},
		{":136:", ":", "head"},
		{"4845524F4E004000800000000000000A", "48", `device "48"`},
	} {
		_, err := record.ParseCode(strings.Replace(good, tt.old, tt.new, 1))
		require.ErrorContains(t, err, tt.want, tt.new)
	}
	_, err := record.ParseCode("")
	require.Error(t, err)
}

// The report as JSON has no null where a list is.
func TestReportJSON(t *testing.T) {
	l := heron(t)
	out, err := json.Marshal(record.Verify(made(t, l, demo.Build, record.Config{}), l, plan.Builtin))
	require.NoError(t, err)
	require.NotContains(t, string(out), "null")
}

// The record carries the seals of its heads, and a signature that the device's
// key did not make is trouble.
func TestSeals(t *testing.T) {
	l := heron(t)
	r := made(t, l, demo.Build, record.Config{})
	require.Len(t, r.Seals, 2)
	rep := record.Verify(r, l, plan.Builtin)
	require.True(t, rep.Agrees, "%+v", rep.Troubles)
	require.Equal(t, 2, rep.Seals)
	r.Seals[1].Sig[5] ^= 1
	rep = record.Verify(r, l, plan.Builtin)
	require.False(t, rep.Agrees)
	require.Equal(t, 1, rep.Seals)
	require.True(t, slices.ContainsFunc(rep.Troubles, func(x record.Trouble) bool { return x.Kind == "seal" }))
}
