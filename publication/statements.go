package publication

import (
	"bytes"
	"fmt"
	"html/template"

	"telltale/ledger"
)

var statementsPage = template.Must(template.New("statements").Parse(`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>All published statements</title>
<style>
body{font:1rem/1.5 system-ui,sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem;color:#1a1a1a;background:#fff}
table{border-collapse:collapse;width:100%}
th,td{text-align:left;vertical-align:top;padding:.5rem;border-bottom:1px solid #bbb}
code{overflow-wrap:anywhere;font-size:.85em}
pre{overflow-x:auto;padding:1rem;border:1px solid #bbb}
</style>
</head>
<body>
<h1>All published statements</h1>
<p>Nothing leaves this list. A correction is a further statement; the earlier one stays and says by what it was replaced.</p>
<table>
<caption>Statements in the order in which they were published</caption>
<thead><tr><th scope="col">Published</th><th scope="col">Study</th><th scope="col">State</th><th scope="col">Manifest</th></tr></thead>
<tbody>
{{range .Statements}}<tr id="record-{{.Record.N}}"><td>{{.Record.Date}}<br>record {{.Record.N}}</td><td>{{.Record.Study}}{{if .Record.Before}}<br>corrects an earlier statement: {{.Record.Text}}{{end}}</td>
<td>{{.State}}{{with .By}} on {{.Date}} (<a href="#record-{{.N}}">record {{.N}}</a>): {{.Text}}{{end}}</td><td><code>{{.Record.Subject}}</code></td></tr>
{{else}}<tr><td colspan="4">Nothing was published yet.</td></tr>
{{end}}</tbody>
</table>
<h2>The ledger today</h2>
<p>Keep these lines. Whoever kept them can see later that nothing was taken out since.</p>
<pre>{{.Checkpoint}}</pre>
</body>
</html>
`))

// StatementsPage is one page with all statements and their states. The checkpoint
// may be signed or not.
func StatementsPage(l *ledger.Ledger, checkpoint []byte) ([]byte, error) {
	var b bytes.Buffer
	err := statementsPage.Execute(&b, struct {
		Statements []ledger.Statement
		Checkpoint string
	}{l.Statements(), string(checkpoint)})
	if err != nil {
		return nil, fmt.Errorf("write the page of statements: %w", err)
	}
	return b.Bytes(), nil
}
