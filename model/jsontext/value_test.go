package jsontext

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

type part struct {
	Text  string            `json:"text"`
	Share float64           `json:"share,omitempty"`
	Small float32           `json:"small"`
	Names map[string]string `json:"names,omitempty"`
	Of    map[uuid.UUID][]part
	At    time.Time
	ID    uuid.UUID `json:"id"`
	Raw   []byte
	List  []string `json:"list,omitempty"`
	Next  *part    `json:"next,omitempty"`
	N     int
	Few   uint8
	So    bool
}

func drawPart(t *rapid.T, depth int) part {
	p := part{
		Text: rapid.String().Draw(t, "text"), Share: rapid.Float64().Draw(t, "share"), Small: rapid.Float32().Draw(t, "small"), ID: uuid.Max,
		Names: rapid.MapOf(rapid.String(), rapid.SampledFrom([]string{"", "<&>", "\u2028", `\`, `\"`, `a\`, "{}[],:"})).Draw(t, "names"),
		Raw:   rapid.SliceOf(rapid.Byte()).Draw(t, "raw"), List: rapid.SliceOf(rapid.String()).Draw(t, "list"),
		N: rapid.Int().Draw(t, "n"), Few: rapid.Uint8().Draw(t, "few"), So: rapid.Bool().Draw(t, "so"),
		At: time.Unix(rapid.Int64Range(0, 1<<33).Draw(t, "at"), rapid.Int64Range(0, 999999999).Draw(t, "ns")).UTC(),
	}
	if depth > 0 {
		next := drawPart(t, depth-1)
		p.Next, p.Of = &next, map[uuid.UUID][]part{{1}: {next}, {}: nil}
	}
	return p
}

// Values are written and read as encoding/json does it, compact, for HTML and
// laid out.
func TestValues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPart(t, 1)
		want, err := json.Marshal(p)
		require.NoError(t, err)
		compact := Append(nil, p)
		require.Equal(t, string(want), string(ForHTML(compact)))
		want, err = json.MarshalIndent(p, "", " ")
		require.NoError(t, err)
		require.Equal(t, string(want), string(Indent(ForHTML(compact), " ")))
		var published, got part
		require.NoError(t, json.Unmarshal(want, &published))
		require.NoError(t, Read(want, &got))
		require.Equal(t, published, got)
	})
	for f := range strings.FieldsSeq("0 1 -1 1e21 1e20 1e-6 9.9e-7 1e-7 1.5e-10 1e100 -1e300 5e-324 0.1") {
		var n float64
		require.NoError(t, json.Unmarshal([]byte(f), &n))
		want, err := json.Marshal([]any{n, float32(n)})
		if err == nil {
			require.Equal(t, string(want), string(Append(nil, []any{n, float32(n)})))
		}
	}
}

// Of texts put together of fields and values, what encoding/json reads is read
// as the same, and what it refuses is refused.
func TestReadAsPublished(t *testing.T) {
	pieces := rapid.SliceOfN(rapid.SampledFrom([]string{
		`"text":"a"`, `"text":1`, `"TEXT":"b"`, `"text":null`, `"share":1e3`, `"share":"x"`, `"share":1e400`, `"share":null`, `"names":{"a":"b"}`, `"names":{"a":"b","c":null}`, `"names":[]`,
		`"names":null`, `"names":{"a":1}`, `"Of":{"00000000-0000-0000-0000-000000000001":[{"N":1}]}`, `"Of":{"x":[]}`, `"At":"2026-09-01T10:00:00Z"`, `"At":"x"`, `"At":1`, `"At":null`,
		`"id":"x"`, `"id":"00000000-0000-0000-0000-000000000001"`, `"id":null`, `"Raw":"AQI="`, `"Raw":"AQ"`, `"Raw":null`, `"list":["a",null]`, `"list":[]`, `"list":null`, `"list":{}`,
		`"next":{"N":2}`, `"next":null`, `"next":[]`, `"N":1.5`, `"N":-3`, `"N":1e2`, `"N":9223372036854775808`, `"Few":256`, `"Few":-1`, `"Few":7`, `"So":true`, `"So":1`, `"other":{"a":[1,{}]}`,
	}), 0, 4)
	rapid.Check(t, func(t *rapid.T) {
		in := []byte("{" + strings.Join(pieces.Draw(t, "pieces"), ",") + "}")
		var want, got part
		wantErr := json.Unmarshal(in, &want)
		err := Read(in, &got)
		require.Equal(t, wantErr == nil, err == nil, "%s: %v, want %v", in, err, wantErr)
		if err == nil {
			require.Equal(t, want, got, "%s", in)
		}
	})
	for in, want := range map[string]string{
		`{"N":1.5}`:                           "N: 1.5 where a whole number is wanted",
		`{"next":{"list":["a",{}]}}`:          "next.list[1]: an object where a text is wanted",
		`{"names":{"a":[]}}`:                  "names.a: a list where a text is wanted",
		`[]`:                                  "a list where an object is wanted",
		"{\n\"N\" 1}":                         "line 2: '1', want a colon",
		`{"N":`:                               "the end, want a value",
		`{"Raw":[1]}`:                         "Raw: a list where a text in base64 is wanted", // encoding/json takes it
		`{"Raw":"*"}`:                         "Raw: illegal base64 data at input byte 0",
		`{"id":"` + uuid.Nil.String() + `0"}`: "id: invalid UUID length: 37",
	} {
		require.EqualError(t, Read([]byte(in), new(part)), want, in)
	}
	require.Panics(t, func() { Read([]byte(`{"X":1}`), new(struct{ X any })) })
}

func TestIndentEmpty(t *testing.T) {
	for _, in := range []string{`{}`, `[]`, `[{},[],[[]]]`, `"a"`, `{"a":{},"b":[1,2]}`} {
		var want bytes.Buffer
		require.NoError(t, json.Indent(&want, []byte(in), "", "  "))
		require.Equal(t, want.String(), string(Indent([]byte(in), "  ")))
	}
}
