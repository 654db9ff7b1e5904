"""The page's style sheet."""

STYLE = """
<style>
body[data-voila] .jp-RenderedMarkdown h1 { font-size: 25px; font-weight: 600; margin: 0 0 2px; }
body[data-voila] .jp-RenderedMarkdown p { font-size: 13.5px; line-height: 1.4; margin: 0 0 3px; }
body[data-voila] .jp-Cell { padding-top: 0; padding-bottom: 0; }
.wb-page { overflow: visible; container-type: inline-size; width: 100%; }
.wb-page .widget-html-content { line-height: 1.35; }
.wb-columns { margin-top: 8px; display: flex; flex-flow: row nowrap; gap: 22px;
  align-items: flex-start; overflow: visible; }
.wb-left { flex: 0 0 404px; width: 404px; overflow: visible; }
.wb-right { flex: 1 1 0; min-width: 0; overflow: hidden; }
.wb-right > .widget-vbox { overflow: hidden; }

.wb-verdict { display: flex; gap: 18px; align-items: center; border-left: 8px solid #1f2a33; padding: 9px 16px;
  background: #f1f4f6; color: #1f2a33; font-size: 15px; line-height: 1.4; }
.wb-mark { font-size: 25px; font-weight: 700; white-space: nowrap; padding: 2px 12px; border: 2px solid currentColor;
  background: #fff; }
.wb-word { font-size: 20px; font-weight: 600; }
.wb-meaning { font-size: 14px; font-weight: 400; margin-left: 12px; color: #3b4650; }
.wb-starts { border-left-color: #2b7a3d; } .wb-starts .wb-mark { color: #1f6530; }
.wb-fails { border-left: 8px double #a33b1f; } .wb-fails .wb-mark { color: #9a2f14; border-style: dashed; }
.wb-problem { border: 2px solid #a33b1f; padding: 8px 12px; background: #fdf3ef; color: #1f2a33;
  white-space: pre-wrap; overflow-wrap: anywhere; line-height: 1.35; }
.wb-message { padding: 2px 4px; color: #1f6530; }
.wb-title { font-size: 16px; font-weight: 600; color: #1f2a33; }
.wb-title span { font-weight: 400; font-size: 13px; color: #5b656d; margin-left: 10px; }

.wb-page img.wb-picture, .wb-picture img { width: 100%; max-width: 100%; height: auto; margin: 0; display: block; }

.wb-tabs .widget-toggle-buttons, .wb-tabs { width: 100%; margin: 2px 0; }
.wb-tabs > div:last-child, .wb-tabs .jupyter-widgets-toggle-buttons { display: grid; width: 100%;
  grid-template-columns: repeat(auto-fill, minmax(92px, 1fr)); gap: 3px; }
.wb-tabs .jupyter-button { width: auto; margin: 0; padding: 0 4px; background: #e6eaed; color: #1f2a33;
  border-bottom: 3px solid transparent; box-shadow: none; }
.wb-tabs .jupyter-button.mod-active { background: #fff; border-bottom-color: #14507a; font-weight: 600;
  outline: 1px solid #c5ccd1; }
.wb-panel { border: 1px solid #c5ccd1; padding: 8px 10px; margin: 6px 0 0; width: 100%; box-sizing: border-box; }
.wb-panel > .widget-vbox { width: 100%; overflow: visible; }
.wb-rows { display: grid; grid-template-columns: minmax(0, 1fr); column-gap: 26px; width: 100%; overflow: visible; }
.wb-part { grid-column: 1 / -1; width: auto; font-weight: 600; }
.wb-heading { grid-column: 1 / -1; font-weight: 600; color: #3b4650; margin-top: 4px; }
.wb-key { align-items: center; min-height: 31px; width: auto; overflow: visible; gap: 2px; }
.wb-key .widget-html-content { font-size: 13px; line-height: 1.15; }
.wb-name { cursor: help; text-decoration: underline dotted #aab3ba; text-underline-offset: 3px; }
.wb-refused { background: #fdf3ef; box-shadow: inset 4px 0 0 #a33b1f; padding-left: 8px; }
.wb-refused input { border: 2px solid #a33b1f !important; }
.wb-more { width: 170px; margin-top: 6px; }
.wb-help { min-height: 66px; padding: 8px 10px; font-size: 13px; line-height: 1.4; color: #3b4650;
  background: #f1f4f6; box-sizing: border-box; }
.wb-note { font-size: 12.5px; line-height: 1.4; color: #5b656d; overflow-wrap: anywhere; margin: 4px 0;
  padding-left: 16px; }
.wb-note .widget-html-content, div.wb-note { padding-left: 0; }

.wb-which { display: flex; flex-flow: row wrap; column-gap: 14px; align-items: center; font-size: 13px; }
.wb-which .widget-checkbox { width: auto; }
.wb-readings { display: flex; flex-flow: row wrap; gap: 2px 18px; padding: 6px 10px; background: #f1f4f6;
  font-size: 13px; font-variant-numeric: tabular-nums; }
.wb-readings b { font-weight: 600; }
.wb-tables { display: flex; flex-flow: row wrap; gap: 8px 30px; margin-top: 6px; align-items: flex-start; }
.wb-table { border-collapse: collapse; font-size: 13px; line-height: 1.5; color: #1f2a33; flex: 1 1 240px;
  max-width: 460px; }
.wb-table caption { text-align: left; font-weight: 600; color: #3b4650; border-bottom: 1px solid #c5ccd1; }
.wb-table th { text-align: left; font-weight: 400; padding: 1px 8px 1px 0; vertical-align: top; }
.wb-figures th { white-space: nowrap; }
.wb-table td { text-align: right; padding: 1px 0; white-space: nowrap; vertical-align: top;
  font-variant-numeric: tabular-nums; }
.wb-log { margin: 0; } .wb-log select { width: 100%; box-sizing: border-box; font-size: 12.5px;
  font-family: monospace; }

.wb-page .noUi-handle:focus-visible, .wb-page button:focus-visible, .wb-page input:focus-visible,
.wb-page select:focus-visible { outline: 3px solid #14507a; outline-offset: 2px; }

@container (max-width: 1060px) {
  .wb-columns { flex-flow: column nowrap; }
  .wb-left, .wb-right { flex: none; width: 100%; }
  .wb-rows { grid-template-columns: repeat(auto-fit, minmax(330px, 1fr)); }
  .wb-help { min-height: 44px; }
}
</style>
"""
