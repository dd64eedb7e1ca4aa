package app_test

import (
	"strings"
	"testing"

	"ampwright/model"

	"github.com/stretchr/testify/require"
)

// A device's name goes to all that it wrote, in every book; a person's name only to
// what is written from then on.
func TestNames(t *testing.T) {
	a, b, _ := tabs(t)
	heron(t, a)
	post(a, bench+"write/note", "text", "by the first")
	r := post(a, "/phone/this", "called", "  shed   phone ", "person", "Robin")
	require.Contains(t, r.Body, "This device is called shed phone from now on. What is written here from now on is by Robin.")
	require.Contains(t, r.Body, "shed phone, kept by Robin")
	post(a, bench+"write/note", "text", "by the second")
	for _, book := range []string{get(a, bench+"logbook").Body, get(b, bench+"logbook").Body} {
		require.Regexp(t, `by the second</span>[^/]*</p>\s*<small>Robin, shed phone no\. \d+`, book)
		require.Regexp(t, `by the first</span>[^/]*</p>\s*<small>builder, shed phone no\. \d+`, book)
	}
	require.Contains(t, get(a, bench+"settings").Body, "<span>shed phone</span>")
	require.Contains(t, post(a, "/phone/this", "called", "shed phone", "person", "Robin").Body, "Nothing was changed.")

	long := strings.Repeat("m", model.MaxName+1)
	r = post(a, "/phone/this", "called", long, "person", "Robin")
	require.Equal(t, 422, r.Status)
	require.Contains(t, r.Body, "has 41 letters, want at most 40")
	require.Contains(t, r.Body, `value="`+long+`"`, "what was typed stands there still")
	r = post(a, "/phone/this", "called", "shed phone", "person", long)
	require.Contains(t, r.Body, "a person&#39;s name of 41 letters, want at most 40")
	require.Contains(t, post(a, "/phone/this", "called", "<b>x</b>", "person", "").Body, "&lt;b&gt;x&lt;/b&gt;, kept by Robin")
}

// What the browser keeps no copy of is said on every page.
func TestUnkept(t *testing.T) {
	a, _, _ := tabs(t)
	heron(t, a)
	get(a, bench)
	for why, want := range map[string]string{
		"": "this address is not https", "SecurityError": "does not trust the laptop&#39;s certificate", "QuotaExceededError": "no more room", "TypeError": "the browser said TypeError",
	} {
		a.Unkept(why)
		_, news := a.News()
		require.True(t, news)
		require.Contains(t, get(a, bench+"tasks").Body, want)
	}
}
