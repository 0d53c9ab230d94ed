package main

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// reader is a browser that shows one album, and notes what it asked for and
// what went wrong.
type reader struct {
	t   testing.TB
	ctx context.Context
	url string

	mu    sync.Mutex
	asked []string // addresses, besides the page itself
	wrong []string // what stands in the console
}

// readAlbum opens an album in Chromium, as a phone or a screen of so many
// pixels, without a network.
func readAlbum(t testing.TB, file string, wide, high int64) *reader {
	t.Helper()
	r := &reader{t: t, url: "file://" + file}
	options := append([]chromedp.ExecAllocatorOption{}, chromedp.DefaultExecAllocatorOptions[:]...)
	options = append(options, chromedp.ExecPath("chromium"), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.WindowSize(int(wide), int(high)),
		chromedp.Flag("disable-dev-shm-usage", true), chromedp.Flag("hide-scrollbars", true))
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(stop)
	ctx, stop = chromedp.NewContext(ctx, chromedp.WithListener(r.listen))
	t.Cleanup(stop)
	ctx, stop = context.WithTimeout(ctx, 5*time.Minute)
	t.Cleanup(stop)
	r.ctx = ctx
	r.do(chromedp.EmulateViewport(wide, high), offline, chromedp.Navigate(r.url))
	r.settle()
	return r
}

// offline cuts the network off.
var offline chromedp.Action[chromedp.Void] = func(ctx context.Context, t *chromedp.Target) (v chromedp.Void, err error) {
	if _, err = cdp.Call(ctx, t, network.Enable, network.EnableParams{}); err != nil {
		return v, err
	}
	_, err = cdp.Call(ctx, t, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{
		MatchedNetworkConditions: []*network.Conditions{{Offline: true}}})
	return v, err
}

// light makes the page light or dark, still or moving.
func (r *reader) light(scheme, motion string) {
	r.t.Helper()
	r.do(func(ctx context.Context, t *chromedp.Target) (v chromedp.Void, err error) {
		_, err = cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
			{Name: "prefers-color-scheme", Value: scheme}, {Name: "prefers-reduced-motion", Value: motion}}})
		return v, err
	})
	r.settle()
}

func (r *reader) listen(ev any) {
	r.mu.Lock()
	defer r.mu.Unlock()
	switch e := ev.(type) {
	case *network.EventRequestWillBeSent:
		if u := e.Request.URL; u != r.url && !strings.HasPrefix(u, "data:") {
			r.asked = append(r.asked, u)
		}
	case *runtime.EventConsoleAPICalled:
		r.wrong = append(r.wrong, fmt.Sprintf("%s: %v", e.Type, e.Args))
	case *runtime.EventExceptionThrown:
		r.wrong = append(r.wrong, e.ExceptionDetails.Text+" "+e.ExceptionDetails.Exception.Description)
	case *log.EventEntryAdded:
		r.wrong = append(r.wrong, fmt.Sprintf("%s: %s", e.Entry.Level, e.Entry.Text))
	}
}

// quiet requires that nothing went wrong and nothing was asked for.
func (r *reader) quiet() {
	r.t.Helper()
	r.mu.Lock()
	defer r.mu.Unlock()
	require.Empty(r.t, r.asked, "the page asked for something")
	require.Empty(r.t, r.wrong, "the console says something")
}

func (r *reader) do(actions ...chromedp.Action[chromedp.Void]) {
	r.t.Helper()
	require.NoError(r.t, chromedp.Do(r.ctx, actions...))
}

// settle waits until the browser has drawn twice.
func (r *reader) settle() {
	r.t.Helper()
	_, err := chromedp.Run(r.ctx, chromedp.Evaluate[bool](`new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))`, chromedp.EvalAwaitPromise))
	require.NoError(r.t, err)
}

// key presses a key, some of them several times.
func (r *reader) key(key string, times int) {
	r.t.Helper()
	for range times {
		r.do(chromedp.KeyEvent(key))
	}
}

// click scrolls an element into view, as a person would, and clicks on it.
func (r *reader) click(selector string) {
	r.t.Helper()
	quoted, err := json.Marshal(selector)
	require.NoError(r.t, err)
	_ = eval[string](r, `(() => { document.querySelector(`+string(quoted)+`).scrollIntoView({block: 'center'}); return ''; })()`)
	r.settle()
	r.do(chromedp.Click(chromedp.CSS(selector)))
	r.settle()
}

// says evaluates an expression that is a text.
func (r *reader) says(expression string) string {
	r.t.Helper()
	return eval[string](r, `String(`+expression+`)`)
}

func eval[T any](r *reader, expression string) T {
	r.t.Helper()
	v, err := chromedp.Run(r.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	require.NoError(r.t, err, expression)
	return v
}

// focused says what has the focus: the element's class or id and its text.
func (r *reader) focused() string {
	r.t.Helper()
	return r.says(`(() => { const e = document.activeElement; return e.tagName + '#' + e.id + '.' + e.className + ' ' + e.textContent.slice(0, 60); })()`)
}

// tabTo presses the tab key until the element of a selector has the focus.
func (r *reader) tabTo(selector string) {
	r.t.Helper()
	quoted, err := json.Marshal(selector)
	require.NoError(r.t, err)
	for range 60 {
		r.key("\t", 1)
		if eval[bool](r, `document.activeElement.matches(`+string(quoted)+`)`) {
			return
		}
	}
	require.Fail(r.t, "the tab key never comes to "+selector, r.focused())
}

// crowded lists labels that overlap each other or leave the table.
const crowded = `(() => {
  const table = document.querySelector('.table').getBoundingClientRect(), out = [];
  const boxes = [...document.querySelectorAll('.tag, .was-word, .scale-word')].map((e) => [e.textContent, e.getBoundingClientRect()]);
  boxes.forEach(([a, p], i) => {
    if (p.left < table.left - .5 || p.top < table.top - .5 || p.right > table.right + .5 || p.bottom > table.bottom + .5) out.push(a + ' leaves the table');
    boxes.slice(i + 1).forEach(([b, q]) => {
      if (p.left < q.right - .5 && q.left < p.right - .5 && p.top < q.bottom - .5 && q.top < p.bottom - .5) out.push(a + ' overlaps ' + b);
    });
  });
  return out.concat([boxes.length]);
})()`

// uncrowded requires that no two labels overlap and none leaves the table, and
// returns how many there are.
func (r *reader) uncrowded(what string) int {
	r.t.Helper()
	found := eval[[]any](r, crowded)
	require.Len(r.t, found, 1, what)
	return int(found[0].(float64))
}

// axeOf reads the checker of web pages for people with disabilities, which is
// not part of this project: TOILE_AXE names its file axe.min.js.
func axeOf(t *testing.T) string {
	t.Helper()
	file := os.Getenv("TOILE_AXE")
	if file == "" {
		if demandAll() {
			t.Fatal("TOILE_AXE does not name the file axe.min.js of the npm package axe-core, and TOILE_ALL=1 demands it")
		}
		t.Skip("TOILE_AXE does not name the file axe.min.js of the npm package axe-core")
	}
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	return string(text)
}

// pair chooses two versions by their places, the later one first.
func (r *reader) pair(earlier, later int) {
	r.t.Helper()
	require.True(r.t, eval[bool](r, fmt.Sprintf(`[['later', %d], ['earlier', %d]].every(([id, at]) => {
		const list = document.getElementById(id);
		list.value = at;
		return list.dispatchEvent(new Event('change'));
	})`, later, earlier)))
}

// accessible requires that the checker finds nothing.
func (r *reader) accessible(axe, what string) {
	r.t.Helper()
	if !eval[bool](r, `'axe' in window`) {
		_, err := chromedp.Run(r.ctx, chromedp.Evaluate[chromedp.Void](axe))
		require.NoError(r.t, err)
	}
	found := eval[struct {
		Passes int
		Wrong  []string
	}](r, `axe.run(document, {resultTypes: ['violations']}).then((r) => ({Passes: r.passes.length,
		Wrong: r.violations.flatMap((v) => v.nodes.map((n) => v.id + ': ' + n.target + ' ' + n.failureSummary))}))`)
	require.Empty(r.t, found.Wrong, what)
	require.Greater(r.t, found.Passes, 20, "the checker looked at nothing")
}
