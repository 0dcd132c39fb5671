using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace Stakeboat.Storage.Migrations.Sqlite
{
    /// <inheritdoc />
    public partial class Abandoned : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<bool>(
                name: "Abandoned",
                table: "corrections",
                type: "INTEGER",
                nullable: false,
                defaultValue: false);
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropColumn(
                name: "Abandoned",
                table: "corrections");
        }
    }
}
