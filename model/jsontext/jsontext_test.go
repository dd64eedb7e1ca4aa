package jsontext

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// tokens writes what a text holds, so that two readers can be compared.
func tokens(in []byte) (string, error) {
	var out strings.Builder
	r := NewReader(in)
	for {
		t, err := r.Next()
		if err != nil || t.Kind == End {
			return out.String(), err
		}
		fmt.Fprintf(&out, "%c%q ", t.Kind, t.Text)
	}
}

// published is tokens by encoding/json of the standard library.
func published(in []byte) (string, bool) {
	if !json.Valid(in) {
		return "", false
	}
	var out strings.Builder
	d := json.NewDecoder(bytes.NewReader(in))
	d.UseNumber()
	for {
		t, err := d.Token()
		if err != nil {
			return out.String(), true
		}
		switch t := t.(type) {
		case json.Delim:
			fmt.Fprintf(&out, "%c%q ", rune(t), "")
		case string:
			fmt.Fprintf(&out, "%c%q ", Text, t)
		case json.Number:
			fmt.Fprintf(&out, "%c%q ", Number, t.String())
		case bool:
			fmt.Fprintf(&out, "%c%q ", fmt.Sprint(t)[0], "")
		case nil:
			fmt.Fprintf(&out, "%c%q ", Null, "")
		}
	}
}

func agree(t require.TestingT, in []byte) {
	want, valid := published(in)
	got, err := tokens(in)
	require.Equal(t, valid, err == nil, "%q: %v", in, err)
	if valid {
		require.Equal(t, want, got, "%q", in)
	}
	require.Equal(t, err, Check(in))
}

var texts = []string{
	``, ` `, `{}`, `[]`, `{"a":1}`, `{"a":1,}`, `[1,]`, `[,1]`, `[1 2]`, `{"a" 1}`, `{"a":}`, `{a:1}`, `{"a":{"b":[[],{}]},"c":null}`, `]`, `[}`, `{]`, `[[]`, `"a`, `"a" "b"`, `1 2`, `tru`, `true`,
	`nullx`, `-`, `-0`, `01`, `1.`, `1.e3`, `1e`, `1e+`, `-1.50E-07`, `.5`, `+1`, `"\u00e9\ud83d\ude00\ud83d\u0041\udead"`, `"\ud83d`, `"\x"`, `"\u12g4"`, "\"\x01\"", "\"\xff\xc3\"", "\ufeff{}", "[\"\u2028\"]", "\x00",
	"[1]\x00", "{\"a\":1\x00}", `{"":{"":""}}`, `"\"\\\/\b\f\n\r\t"`, " \t\r\n[ 1 , 2 ]\n",
}

func TestRead(t *testing.T) {
	for _, in := range texts {
		agree(t, []byte(in))
	}
	rapid.Check(t, func(t *rapid.T) {
		agree(t, []byte(strings.Join(rapid.SliceOf(rapid.SampledFrom([]string{
			"{", "}", "[", "]", ",", ":", `"a"`, `"`, "1", "-", "0", ".5", "e3", "true", "null", " ", "\n", `\`, `\u00e9`, `\ud83d`, "é", "\xff",
		})).Draw(t, "pieces"), "")))
	})
}

func FuzzRead(f *testing.F) {
	for _, in := range texts {
		f.Add([]byte(in))
	}
	f.Fuzz(func(t *testing.T, in []byte) {
		if bytes.Count(in, []byte("["))+bytes.Count(in, []byte("{")) < deepest {
			agree(t, in)
		}
	})
}

func TestFaults(t *testing.T) {
	for in, want := range map[string]Fault{
		"{\n\"a\": 1\n\"b\": 2}":       {3, `'"'`, "a comma or }"},
		"[1\n;2]":                      {2, "';'", "a comma or ]"},
		"{\"a\": \"x":                  {1, "the end", "a closing quote"},
		"{}\n{}":                       {2, "'{'", "nothing more"},
		"{\n'a': 1}":                   {2, `'\''`, "the name of a field, in quotes"},
		`{"a" 1}`:                      {1, "'1'", "a colon"},
		"[1,\n\n]":                     {3, "']'", "a value"},
		"[-x]":                         {1, "'x'", "a digit"},
		strings.Repeat("[", deepest*3): {1, "'['", "no more than 1000 lists and objects within each other"},
	} {
		var got *Fault
		require.ErrorAs(t, Check([]byte(in)), &got)
		require.Equal(t, want, *got, in)
	}
	require.EqualError(t, Check([]byte("[")), "the end, want a value")
}

func TestFields(t *testing.T) {
	var got []string
	note := func(name string, v Token) error {
		text, err := v.As(name)
		got = append(got, name+"="+text)
		return err
	}
	require.NoError(t, Fields([]byte(`{"a": "x", "b": null, "a": "y"}`), note))
	require.Equal(t, []string{"a=x", "b=", "a=y"}, got)
	require.EqualError(t, Fields([]byte(`{"a": {"b": 1}}`), note), "a: want a text")
	require.EqualError(t, Fields([]byte(`["a"]`), note), "want an object")
	require.EqualError(t, Fields([]byte(`{"a"`), note), "the end, want a colon")
	got = nil
	require.NoError(t, Fields([]byte(`{"a": {"b": [1, {}]}, "c": "z"}`), func(name string, v Token) error {
		got = append(got, name+"="+v.Text)
		return nil
	}))
	require.Equal(t, []string{"a=", "c=z"}, got)
}

func TestSkip(t *testing.T) {
	r := NewReader([]byte(`{"a":{"b":[1,{}]},"c":2}`))
	for _, want := range []Token{{'{', ""}, {Text, "a"}, {'{', ""}} {
		got, err := r.Next()
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
	require.NoError(t, r.Skip(Token{Kind: '{'}))
	got, err := r.Next()
	require.NoError(t, err)
	require.Equal(t, Token{Text, "c"}, got)
	require.Error(t, NewReader([]byte(`1]`)).Skip(Token{Kind: '['}))
}

type all struct {
	Text   string `json:"text"`
	Maybe  string `json:"maybe,omitempty"`
	Bytes  []byte
	List   []string `json:"list,omitempty"`
	Lists  [][]int64
	Array  [3]byte
	ID     uuid.UUID
	IDs    []uuid.UUID
	Number int64
	Count  uint64 `json:",omitempty"`
	So     bool
	Inner  struct{ A, B string }
	Next   *all
	Any    any
	hidden string
}

// Structs in another one without a name.
type (
	Part2 struct {
		A int `json:"a"`
		part2
	}
	part2 struct{ B string }
	part3 struct{ c int }
)

func TestWrite(t *testing.T) {
	drawn := rapid.Custom(func(t *rapid.T) *all {
		return &all{
			Text: rapid.String().Draw(t, "text"), Maybe: rapid.SampledFrom([]string{"", "\xff<&>\u2028\x01\n\"\\"}).Draw(t, "maybe"), Bytes: rapid.SliceOf(rapid.Byte()).Draw(t, "bytes"),
			List: rapid.SliceOf(rapid.String()).Draw(t, "list"), Lists: rapid.SampledFrom([][][]int64{nil, {}, {nil, {1, -2}}}).Draw(t, "lists"), Array: [3]byte{1, 2, 3},
			ID: uuid.Max, IDs: []uuid.UUID{{}}, Number: rapid.Int64().Draw(t, "number"), Count: rapid.SampledFrom([]uint64{0, math.MaxUint64}).Draw(t, "count"), So: rapid.Bool().Draw(t, "so"), hidden: "x",
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		v := drawn.Draw(t, "value")
		v.Next, v.Any = drawn.Draw(t, "next"), drawn.Draw(t, "any")
		var want bytes.Buffer
		enc := json.NewEncoder(&want)
		enc.SetEscapeHTML(false)
		require.NoError(t, enc.Encode(v))
		require.Equal(t, want.String(), string(Append(nil, v))+"\n")
	})
	require.Equal(t, "null", string(Append(nil, nil)))
	require.Panics(t, func() { Append(nil, math.NaN()) })
	require.Panics(t, func() { Append(nil, map[int]int{1: 1}) })
	require.Panics(t, func() { Append(nil, 1i) })
	within := struct {
		First int `json:"first,omitempty"`
		Part2
		Named Part2 `json:"named"`
	}{Part2: Part2{part2: part2{B: "x"}}}
	want, err := json.Marshal(within)
	require.NoError(t, err)
	require.Equal(t, `{"a":0,"B":"x","named":{"a":0,"B":""}}`, string(want))
	require.Equal(t, string(want), string(Append(nil, within)))
	require.Equal(t, "{}", string(Append(nil, struct{ part3 }{})))
}
