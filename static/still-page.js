// Where the page cannot even begin, the still page says so: in browsers that know no module scripts, and
// where the first script did not arrive. Plain old language on purpose.
(function () {
  function show(why, what) {
    document.getElementById("halt-why").textContent = why;
    document.getElementById("halt-do").textContent = what;
    document.getElementById("halt").removeAttribute("hidden");
  }
  if (!("noModule" in document.createElement("script"))) {
    document.getElementById("halt").removeAttribute("hidden");
    return;
  }
  // Module scripts have run, or failed to come, by then.
  addEventListener("load", function () {
    if (window.halfrow_boot) return;
    show(
      "Part of the page didn’t arrive. The board you see is only a picture.",
      "Check the network, then try again. If it stays like this, a new version may be on its way to the host: wait a few minutes."
    );
    document.getElementById("halt-again").addEventListener("click", function (event) {
      event.preventDefault();
      function again() {
        location.reload();
      }
      // Past the browser's own cache, which may hold what is wrong for a year.
      fetch(document.querySelector("script[type=module]").src, { cache: "reload" }).then(again, again);
    });
  });
})();
