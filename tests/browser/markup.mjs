// Whether a page is valid HTML, by html-validate's rules for the standard.
import { HtmlValidate } from "html-validate";

const validator = new HtmlValidate({ root: true, extends: ["html-validate:standard"] });

/// Faults of a page as lines of text; empty where there are none.
export async function faults(html) {
  const report = await validator.validateString(html);
  return report.results.flatMap((r) => r.messages.map((m) => `${m.line}:${m.column} ${m.ruleId}: ${m.message}`));
}
