"use strict";
// How much room the head of the page and the music stand leave between them: both grow where
// their lines are broken.
{
  const measure = () => {
    for (const [name, box] of [["--head", document.querySelector("header")], ["--foot", document.getElementById("stand")]]) {
      document.documentElement.style.setProperty(name, box.offsetHeight + "px");
    }
  };
  const watched = new ResizeObserver(measure);
  watched.observe(document.querySelector("header"));
  watched.observe(document.getElementById("stand"));
}
