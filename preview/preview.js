// Loads the page again after a build, and shows what is wrong with the folder.
(function () {
  "use strict";
  var me = document.currentScript;
  var bench = me && me.getAttribute("data-bench");
  var edition = null;
  var box = document.createElement("aside");
  box.className = "preview";
  box.setAttribute("aria-label", "Preview");
  box.setAttribute("role", "status");

  function line(tag, text, name) {
    var e = document.createElement(tag);
    e.textContent = text;
    if (name) { e.className = name; }
    return e;
  }

  function show(state) {
    box.textContent = "";
    var errors = state.findings.filter(function (f) { return f.severity === "error"; });
    box.classList.toggle("broken", state.broken);
    var head = state.broken ? (state.edition ? "This is the last good site: the folder cannot be published as it is." : "There is no site yet: the folder cannot be published as it is.")
      : state.findings.length === 0 ? "Preview: nothing to report." : "Preview: the checker has " + state.findings.length + " to say.";
    var details = document.createElement("details");
    details.open = state.broken;
    details.appendChild(line("summary", head));
    if (state.fault) { details.appendChild(line("p", state.fault)); }
    var list = document.createElement("ol");
    (state.broken ? errors : state.findings).slice(0, 50).forEach(function (f) {
      var item = document.createElement("li");
      item.appendChild(line("p", f.severity + "  " + f.file + (f.line ? ":" + f.line + (f.column ? ":" + f.column : "") : "") + "  (" + f.rule + ")", "place"));
      item.appendChild(line("p", f.message));
      if (f.excerpt) {
        item.appendChild(line("pre", f.excerpt + "\n" + " ".repeat(Math.max(0, (f.excerptColumn || 1) - 1)) + "^".repeat(Math.max(1, f.width || 1))));
      }
      if (f.remedy) { item.appendChild(line("p", "→ " + f.remedy)); }
      list.appendChild(item);
    });
    if (list.childNodes.length) { details.appendChild(list); }
    if (bench) {
      var a = line("a", "Record a reading");
      a.href = bench;
      details.appendChild(a);
    }
    box.appendChild(details);
    if (!box.parentNode) { document.body.appendChild(box); }
  }

  var source = new EventSource("/-/events");
  source.onmessage = function (e) {
    var state = JSON.parse(e.data);
    if (edition !== null && state.edition !== edition) {
      // The place on the page is kept by the browser on a plain reload.
      location.reload();
      return;
    }
    edition = state.edition;
    show(state);
  };
  source.onerror = function () {
    box.textContent = "";
    box.appendChild(line("p", "The preview has ended. Start it again to go on."));
    if (!box.parentNode) { document.body.appendChild(box); }
  };
})();
