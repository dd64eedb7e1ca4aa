package model_test

import (
	"bytes"
	"testing"

	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/modeltest"
	"ampwright/model/plan"

	"github.com/fxamacker/cbor/v2"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// core is an independent encoder in the deterministic form of RFC 8949, section
// 4.2.1.
var core = func() cbor.EncMode {
	m, err := cbor.CoreDetEncOptions().EncMode()
	if err != nil {
		panic(err)
	}
	return m
}()

// plain reads CBOR with an independent decoder that refuses what the format
// has no use for.
var plain = func() cbor.DecMode {
	m, err := cbor.DecOptions{
		DupMapKey: cbor.DupMapKeyEnforcedAPF, IndefLength: cbor.IndefLengthForbidden, TagsMd: cbor.TagsForbidden,
	}.DecMode()
	if err != nil {
		panic(err)
	}
	return m
}()

// The bytes of any entry read back as the same entry, and an independent
// library, reading and writing them again, makes the same bytes.
func TestEncoding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := modeltest.Entries().Draw(t, "entry")
		raw, err := e.Encode()
		require.NoError(t, err)
		back, err := model.Decode(raw)
		require.NoError(t, err)
		again, err := back.Encode()
		require.NoError(t, err)
		require.Equal(t, raw, again)
		require.Equal(t, e.ID, back.ID)
		require.Equal(t, e.Kind(), back.Kind())
		require.Equal(t, len(e.Over), len(back.Over))

		var v any
		require.NoError(t, plain.Unmarshal(raw, &v))
		oracle, err := core.Marshal(v)
		require.NoError(t, err)
		require.Equal(t, oracle, raw, "not in deterministic form")
		m := v.(map[any]any)
		require.Equal(t, e.Replica[:], m[uint64(1)])
		require.Equal(t, e.Seq, m[uint64(2)])
		require.Equal(t, uint64(e.Stamp), m[uint64(5)])
		require.Equal(t, e.Kind(), m[uint64(6)])
	})
}

// A body of any kind comes back with every field it had.
func TestBodies(t *testing.T) {
	for _, raw := range modeltest.Garage(500, 7) {
		e, err := model.Decode(raw)
		require.NoError(t, err)
		_, unknown := e.Body.(*model.Unknown)
		require.False(t, unknown, e.Kind())
		again, err := e.Encode()
		require.NoError(t, err)
		require.Equal(t, raw, again)
	}
}

func FuzzDecode(f *testing.F) {
	for _, raw := range modeltest.Garage(60, 1) {
		f.Add(raw)
		f.Add(raw[:len(raw)/2])
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		e, err := model.Decode(raw)
		if err != nil {
			return
		}
		again, err := e.Encode()
		if err != nil {
			t.Fatalf("decoded but does not encode: %v", err)
		}
		if !bytes.Equal(raw, again) {
			t.Fatalf("two encodings of one entry:\n%x\n%x", raw, again)
		}
	})
}

func FuzzUnpackRun(f *testing.F) {
	run, err := model.PackRun(modeltest.Garage(1, 1))
	require.NoError(f, err)
	f.Add(run)
	f.Fuzz(func(t *testing.T, run []byte) {
		var raws [][]byte
		err := model.UnpackRun(run, func(raw string, id model.ID) error {
			raws = append(raws, []byte(raw))
			require.Equal(t, model.IDOf([]byte(raw)), id)
			return nil
		})
		if err == nil && len(raws) == 0 {
			t.Fatal("an empty run was accepted")
		}
	})
}

// What other encoders might write for the same entry is refused: one entry has
// one encoding, so one name.
func TestOneEncoding(t *testing.T) {
	e := model.Entry{Replica: [16]byte{1}, Seq: 1, Stamp: 1 << 16, Body: &model.Note{Text: "x"}}
	raw, err := e.Encode()
	require.NoError(t, err)
	cut := func(old, new string) []byte {
		out := bytes.Replace(raw, []byte(old), []byte(new), 1)
		require.NotEqual(t, raw, out, "the case changes nothing")
		return out
	}
	for name, tt := range map[string]struct {
		raw  []byte
		want string
	}{
		"number in a longer form": {cut("\x02\x01", "\x02\x18\x01"), "shortest form"},
		"zero number":             {cut("\x02\x01", "\x02\x00"), "zero value"},
		"indefinite map":          {cut("\xa5", "\xbf"), "indefinite lengths"},
		"bytes after the end":     {append(bytes.Clone(raw), 0), "1 bytes after the end"},
		"cut short":               {raw[:len(raw)-1], "ends inside"},
		"empty":                   {nil, "ends inside"},
		"body no map":             {cut("\xa1\x05\x61x", "\x61x"), "body is not a map"},
		"kind not UTF-8":          {cut("note", "no\xff\xfe"), "not UTF-8"},
	} {
		_, err := model.Decode(tt.raw)
		require.ErrorContains(t, err, tt.want, name)
	}
	long := model.Entry{Replica: [16]byte{1}, Seq: 1, Stamp: 1, Body: &model.Note{Text: string(make([]byte, 9000))}}
	_, err = long.Encode()
	require.ErrorContains(t, err, "9000 bytes: at most 8192")
	for name, e := range map[string]model.Entry{
		"number": {Replica: [16]byte{1}, Seq: 1 << 40, Prev: model.ID{1}, Stamp: 1, Body: &model.Note{Text: "x"}},
		"stamp":  {Replica: [16]byte{1}, Seq: 1, Stamp: 1 << 63, Body: &model.Note{Text: "x"}},
		"kind":   {Replica: [16]byte{1}, Seq: 1, Stamp: 1, Body: &model.Unknown{CBOR: "\xa0"}},
		"body":   {Replica: [16]byte{1}, Seq: 1, Stamp: 1, Body: &model.Unknown{Name: "x", CBOR: "\x01"}},
	} {
		_, err := e.Encode()
		require.Error(t, err, "what cannot be read back is not written: %s", name)
	}
}

// An entry from a newer version is kept to the byte and shown as such.
func TestNewer(t *testing.T) {
	raw, err := (&model.Entry{
		Replica: [16]byte{1}, Seq: 1, Stamp: 1, Must: true, Body: &model.Unknown{Name: "odometer", CBOR: "\xa1\x01\x19\x03\xe8"},
	}).Encode()
	require.NoError(t, err)
	l := model.NewLogbook()
	_, err = l.Add(raw)
	require.NoError(t, err)
	require.Equal(t, 1, l.Unknown())
	require.Equal(t, raw, l.Bytes(model.IDOf(raw)))
	run, err := model.PackRun([][]byte{raw})
	require.NoError(t, err)
	require.NoError(t, model.UnpackRun(run, func(got string, _ model.ID) error {
		require.Equal(t, string(raw), got)
		return nil
	}))
}

// Runs give back what was put in, and a changed byte is noticed.
func TestRuns(t *testing.T) {
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	var chain [][]byte
	for _, raw := range raws {
		if e, _ := model.Decode(raw); e.Replica[15] == 0x0a {
			chain = append(chain, raw)
		}
	}
	run, err := model.PackRun(chain)
	require.NoError(t, err)
	n := 0
	require.NoError(t, model.UnpackRun(run, func(raw string, id model.ID) error {
		require.Equal(t, string(chain[n]), raw)
		n++
		return nil
	}))
	require.Equal(t, len(chain), n)
	for at := 0; at < len(run); at += 7 {
		bad := bytes.Clone(run)
		bad[at] ^= 0x10
		require.Error(t, model.UnpackRun(bad, func(string, model.ID) error { return nil }), "byte %d", at)
	}
	_, err = model.PackRun([][]byte{chain[0], chain[2]})
	require.ErrorContains(t, err, "does not follow")
}
