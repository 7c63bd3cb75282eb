const button = document.querySelector('[data-print]');
if (button) {
  button.hidden = false;
  button.addEventListener('click', () => print());
}
