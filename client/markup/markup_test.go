package markup

import (
	"html/template"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The source of every expected byte is html/template of the standard library.
var contexts = []struct {
	name, template string
	write          func(o *Out, value string)
}{
	{"text", `<p>{{.}}</p>`, func(o *Out, v string) { o.Text(`<p>`, v); o.Raw(`</p>`) }},
	{"attribute", `<p title="{{.}}">`, func(o *Out, v string) { o.Text(`<p title="`, v); o.Raw(`">`) }},
	{"title", `<title>{{.}}</title>`, func(o *Out, v string) { o.Text(`<title>`, v); o.Raw(`</title>`) }},
	{"address", `<a href="{{.}}">`, func(o *Out, v string) { o.Link(`<a href="`, v); o.Raw(`">`) }},
	{"path", `<a href="/x{{.}}">`, func(o *Out, v string) { o.LinkRest(`<a href="/x`, v); o.Raw(`">`) }},
	{"query", `<a href="/x?y={{.}}">`, func(o *Out, v string) { o.LinkPart(`<a href="/x?y=`, v); o.Raw(`">`) }},
	{"fragment", `<a href="/x#{{.}}">`, func(o *Out, v string) { o.LinkPart(`<a href="/x#`, v); o.Raw(`">`) }},
}

func check(t require.TestingT, value string) {
	for _, c := range contexts {
		var want strings.Builder
		require.NoError(t, template.Must(template.New("").Parse(c.template)).Execute(&want, value))
		var got Out
		c.write(&got, value)
		require.Equal(t, want.String(), string(got.Bytes()), "%s of %q", c.name, value)
	}
}

func TestEscapes(t *testing.T) {
	for _, value := range []string{
		"", "plain", `<b>"&'+</b>`, "\x00", "\xff\xfe", "javascript:alert(1)", "JAVASCRIPT:x", "http://x/?a=b&c=d+e", "HTTPS:x", "mailto:x@y", "httpſ:x",
		"/a:b", "a/b:c", "%41%zz%4", "100%", "ampère", "\u2028", "￾", "x y\tz\n", "`=()[]{}|\\^~", "//x", "#top",
	} {
		check(t, value)
	}
	for c := range 256 {
		check(t, string([]byte{'a', byte(c), 'b'}))
	}
}

func TestEscapesOfAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		check(t, rapid.OneOf(rapid.String(), rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) }),
			rapid.StringMatching(`(java|http|data|)s?:?[%:/?#&+<"' a-f0-9]{0,20}`)).Draw(t, "value"))
	})
}

func TestNumber(t *testing.T) {
	var o Out
	o.Number("<b>", -12)
	o.Number("|", math.MinInt64)
	o.Count("|", math.MaxUint64)
	require.Equal(t, "<b>-12|-9223372036854775808|18446744073709551615", string(o.Bytes()))
}
