// For browsers that know no module scripts: the still page says so. Plain old language on purpose.
(function () {
  var section = document.getElementById("halt");
  if (section) section.removeAttribute("hidden");
})();
