import { type Html, html } from "../../core/index.js";

/** Asks for a key. @param then path of the page that was asked for @param refused the key that was typed opens nothing */
export const keyView = (
  then: string,
  refused: boolean,
): Html => html`<p>These pages are opened by a key of your organization. The browser keeps it for these pages alone until it is told to forget it; the key can read and changes nothing here.</p>
${refused && html`<p role="alert"><strong>That key is not known here, or no longer good.</strong></p>`}
<form method="post" action="/buildings">
<p><label for="key">Key</label><br><input id="key" name="key" type="password" autocomplete="current-password" required${refused && html` aria-invalid="true"`}></p>
<input type="hidden" name="then" value="${then}">
<button>Open</button>
</form>`;
